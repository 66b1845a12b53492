/**
 * Works out what a herd or a lot is on a day once: a long file asks it again with every row. Whatever else is asked
 * with it belongs to the herd or the lot.
 */
export function oncePerDay<More extends readonly unknown[], Found>(
  workOut: (id: string, day: string, ...more: More) => Found,
): (id: string, day: string, ...more: More) => Found {
  const found = new Map<string, { readonly value: Found }>();
  return (id, day, ...more) => {
    const key = `${id} ${day}`;
    const known = found.get(key) ?? { value: workOut(id, day, ...more) };
    found.set(key, known);
    return known.value;
  };
}
