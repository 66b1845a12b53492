import { isIPv6 } from 'node:net';

/**
 * What counts as one caller: an IPv4 address, or the /64 of an IPv6 address, since whoever has one address of a /64 has
 * all of them (RFC 4291, 2.5.1: the last 64 bits are the interface's own choice).
 */
export function networkOf(address: string): string {
  const bare = address.split('%')[0] ?? '';
  if (!isIPv6(bare)) return bare;
  const groups = groupsOf(bare);
  const mapped = groups.slice(0, 5).every((group) => group === 0) && groups[5] === 0xffff;
  if (mapped) {
    const [high = 0, low = 0] = groups.slice(6);
    return [high >> 8, high & 255, low >> 8, low & 255].join('.');
  }
  return `${groups
    .slice(0, 4)
    .map((group) => group.toString(16))
    .join(':')}::/64`;
}

/** The eight groups of an IPv6 address, written out. */
function groupsOf(address: string): number[] {
  const hex = (high: string | undefined, low: string | undefined): string =>
    (Number(high) * 256 + Number(low)).toString(16);
  const inHex = address.replace(
    /(\d+)\.(\d+)\.(\d+)\.(\d+)$/,
    (_all, ...parts: string[]) => `${hex(parts[0], parts[1])}:${hex(parts[2], parts[3])}`,
  );
  const [before = '', after] = inHex.split('::');
  const read = (text: string | undefined): number[] =>
    text === undefined || text === '' ? [] : text.split(':').map((group) => parseInt(group, 16));
  const [first, last] = [read(before), read(after)];
  return [...first, ...Array.from({ length: 8 - first.length - last.length }, () => 0), ...last];
}
