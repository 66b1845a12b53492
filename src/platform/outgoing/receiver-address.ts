import ipaddr from 'ipaddr.js';
import { BlockList, isIP } from 'node:net';

const LETTERS_MOST = 2000;
/** Of https; any other would let a webhook knock at whatever listens there. */
const PORTS: readonly string[] = ['', '8443'];
/** Names that lead inside wherever they are looked up. */
const INNER_NAMES = /(^|\.)(localhost|local|internal|intranet|lan|home\.arpa)$/;

/**
 * What the library's table of ranges takes for public and is not: what answers for the cloud of one provider at a
 * public address, and all IPv6 outside 2000::/3, the only part that is given out (IANA, IPv6 Global Unicast Address
 * Assignments), such as the IPv4-compatible ::/96 (RFC 4291, 2.5.5.1).
 */
const NOT_PUBLIC_EITHER = new BlockList();
NOT_PUBLIC_EITHER.addAddress('168.63.129.16');
NOT_PUBLIC_EITHER.addSubnet('::', 3, 'ipv6');
NOT_PUBLIC_EITHER.addSubnet('4000::', 2, 'ipv6');
NOT_PUBLIC_EITHER.addSubnet('8000::', 1, 'ipv6');

/**
 * Whether everybody reaches the same host there: not this machine, not a network of somebody's own or a carrier's, not
 * what answers for a cloud, nor an IPv6 form of one of these.
 */
export function isPublic(address: string): boolean {
  const family = isIP(address);
  return (
    family !== 0 &&
    ipaddr.parse(address).range() === 'unicast' &&
    !NOT_PUBLIC_EITHER.check(address, family === 6 ? 'ipv6' : 'ipv4')
  );
}

export interface ReceiverRefused {
  readonly code: 'not-an-address' | 'not-https' | 'port-not-allowed' | 'not-public';
  readonly allowed: string;
  readonly message: string;
}

export const NOT_PUBLIC = refused(
  'not-public',
  'a host that everybody can reach',
  'This leads to an address that is not public.',
);

/**
 * Whether messages may be sent to this address at all, before anybody looks up where its name leads: https at port 443
 * or 8443 of a public host. A host of the keeper's own (`innerHosts`, each as it stands in an address, with its port)
 * may be anywhere, and be spoken to in plain http.
 */
export function readReceiver(text: string, innerHosts: ReadonlySet<string>): URL | ReceiverRefused {
  const url = text.length <= LETTERS_MOST && !/[\s\\]/.test(text) && URL.canParse(text) ? new URL(text) : undefined;
  if (url === undefined || !['https:', 'http:'].includes(url.protocol) || url.hash !== '')
    return refused('not-an-address', 'https://host/path', 'This is not an address that messages can be sent to.');
  // They would stand in logs and lists; the signature says who is sending.
  if (url.username !== '' || url.password !== '')
    return refused('not-an-address', 'an address without user and password', 'Leave user and password out of it.');
  if (innerHosts.has(url.host)) return url;
  if (url.protocol !== 'https:') return refused('not-https', 'https://…', 'Messages are sent over https alone.');
  if (!PORTS.includes(url.port))
    return refused('port-not-allowed', 'port 443 or 8443', 'Messages are sent to port 443 or 8443.');
  const host = url.hostname.replace(/^\[|\]$/g, '').replace(/\.$/, '');
  const isInner = isIP(host) === 0 ? !host.includes('.') || INNER_NAMES.test(host) : !isPublic(host);
  return isInner ? NOT_PUBLIC : url;
}

function refused(code: ReceiverRefused['code'], allowed: string, message: string): ReceiverRefused {
  return { code, allowed, message };
}
