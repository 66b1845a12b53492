import { text } from '../platform/http/html.js';

export { text };

/** One look for the few pages there are: plain, readable outdoors, printable. */
const STYLE = `
:root { color-scheme: light dark; --ink: #22261f; --paper: #fbfaf5; --line: #c9c4b0; --accent: #5b6b1f; }
@media (prefers-color-scheme: dark) { :root { --ink: #eceade; --paper: #1c1e18; --line: #4c5041; --accent: #b9cc6c; } }
body { font: 1.05rem/1.5 system-ui, sans-serif; color: var(--ink); background: var(--paper); margin: 0 auto; padding: 2rem 1rem; max-width: 52rem; }
h1 { font-size: 1.7rem; border-bottom: 3px solid var(--accent); padding-bottom: .3rem; }
h2 { font-size: 1.15rem; }
a { color: var(--accent); }
table { border-collapse: collapse; width: 100%; }
th, td { text-align: left; padding: .35rem .6rem; border-bottom: 1px solid var(--line); vertical-align: top; }
code, pre { font-family: ui-monospace, monospace; font-size: .92em; }
.code { font-family: ui-monospace, monospace; }
@media print { body { max-width: none; padding: 0; } a { color: inherit; } }
`;

export function page(title: string, body: string): string {
  return `<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>${text(title)} · Rickyard</title>
<link rel="icon" href="data:,">
<style>${STYLE}</style>
</head>
<body>
<h1>${text(title)}</h1>
${body}
</body>
</html>
`;
}
