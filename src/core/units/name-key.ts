/** What two names have in common that people take for one: letters of either case, and single spaces. */
export function nameKey(name: string): string {
  return name.trim().replaceAll(/\s+/g, ' ').toLowerCase();
}
