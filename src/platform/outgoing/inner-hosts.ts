export const INNER_HOSTS_WORDS =
  'hosts as they stand in an address, with their port and with commas between them, such as books.inner:9000';

/** A name or an address, and perhaps a port. */
const HOST = /^(\[[0-9a-f:.]+\]|[a-z0-9.-]+)(:\d{1,5})?$/i;

/** Hosts in the form in which an address names them; undefined where one is none. */
export function readInnerHosts(text: string): string[] | undefined {
  const hosts = text
    .split(',')
    .map((one) => one.trim())
    .filter((one) => one !== '');
  const read = hosts.flatMap((host) => {
    if (!HOST.test(host) || !URL.canParse(`http://${host}`)) return [];
    return [new URL(`http://${host}`).host];
  });
  return read.length === hosts.length ? read : undefined;
}
