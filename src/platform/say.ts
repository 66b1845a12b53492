/** Messages for the person at the terminal, separate from the log. */
export function say(words: string): void {
  process.stdout.write(`${words}\n`);
}
