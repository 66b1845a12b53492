import { between, BREAK, html, type Html } from '../html.js';
import { page } from '../layout.js';
import { grouped } from './words.js';
import type { OperationHead } from './yard.schema.js';

type Start = { person: string; consults: boolean; operations: readonly OperationHead[] };
type Place = OperationHead['places'][number];

/** Today's sheets come first and large: they are why the page is opened before sunrise. */
export function startHtml({ person, consults, operations }: Start): string {
  const [only] = operations;
  const several = operations.length > 1 || only === undefined;
  const none = html`<p>You belong to no operation at the moment. An owner can invite you.</p>`;
  const portfolio = html`<nav class="links" aria-label="All operations">
<a href="/yard/portfolio">All herds, those to look at first on top</a></nav>`;
  return page(
    `Hello, ${person}`,
    html`
${operations.length === 0 ? none : null}
${consults ? portfolio : null}
${operations.map((operation) => operationPart(operation, several))}
<div class="at-the-end">
<p><a href="/yard/account">Your account</a></p>
<form method="post" action="/yard/sign-out"><button class="quiet" type="submit">Sign out</button></form>
<form method="post" action="/yard/sign-out"><input type="hidden" name="everywhere" value="yes">
<button class="quiet" type="submit">Sign out on every device</button></form>
</div>`,
  );
}

function operationPart(operation: OperationHead, several: boolean): Html {
  const { id, name, role, invented } = operation;
  return html`<section>
<h2>${name} <small>(${role}${invented ? ', invented demo books' : null})</small></h2>
${sheetList(operation)}
<p><a href="/yard/operations/${id}/today">Enter feedings, tickets, weights${several ? ` of ${name}` : null}</a></p>
<p><a href="/yard/operations/${id}">Rations, trials and hay${several ? ` of ${name}` : null}</a></p>
</section>
`;
}

/** One row for each place with cattle: the place, its herds, and whether there is a ration to lay. */
export function sheetList({ id, places }: OperationHead): Html {
  if (places.length === 0) return html`<p>No herd has cattle today.</p>`;
  return html`<ul class="sheets">${places.map((place) => html`<li>${placePart(id, place)}</li>`)}</ul>`;
}

function placePart(operationId: string, { placeId, place, ranch, onDay, herds }: Place): Html {
  const standing = between(herds.map(herdPart), BREAK);
  if (placeId === null) {
    const whose = herds.length === 1 ? 'this herd' : 'these herds';
    return html`<p>${standing}<br>No place is recorded for ${whose}, so there is no sheet. The manager can set it.</p>`;
  }
  const sheet = `/yard/operations/${operationId}/places/${placeId}/feed-sheet`;
  return html`<a href="${sheet}"><b>${place ?? ''}</b>${standing}<br>
<small>${ranch}, ${onDay}</small></a>`;
}

function herdPart({ herd, head, ration }: Place['herds'][number]): Html {
  const lacking = html` <span class="lacking">no ration in use</span>`;
  return html`${herd}, ${grouped(head)} head${ration === null ? lacking : null}`;
}
