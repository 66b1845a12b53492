import { isIPv4 } from 'node:net';

/** Whether only this machine reaches a server that listens there (RFC 1122, 3.2.1.3; RFC 4291, 2.5.3). */
export function isLoopback(host: string): boolean {
  return host === 'localhost' || host === '::1' || (isIPv4(host) && host.startsWith('127.'));
}
