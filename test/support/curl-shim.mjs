import { readFileSync } from 'node:fs';

// Replaces curl where the machine has none: only the flags that the README's tour uses.
const words = process.argv.slice(2);
const headers = {};
let body;
let url;
let method;
for (let at = 0; at < words.length; at += 1) {
  const word = words[at];
  if (word === '-s') continue;
  else if (word === '-H') {
    const [name, ...rest] = words[(at += 1)].split(':');
    headers[name] = rest.join(':').trim();
  } else if (word === '-d') {
    const data = words[(at += 1)];
    body = data === '@-' ? readFileSync(0, 'utf8') : data;
  } else if (word === '-X') method = words[(at += 1)];
  else url = word;
}
const answer = await fetch(url, { method: method ?? (body === undefined ? 'GET' : 'POST'), headers, body });
process.stdout.write(await answer.text());
