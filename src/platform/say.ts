/** Words for the person at the terminal, apart from the log. */
export function say(words: string): void {
  process.stdout.write(`${words}\n`);
}
