import { grouped } from './words.js';
import { page, text } from '../layout.js';
import type { OperationHead } from './yard.schema.js';

type Start = { person: string; consults: boolean; operations: readonly OperationHead[] };

/** Today's sheets first and large: that is what the page is opened for before sunrise. */
export function startHtml({ person, consults, operations }: Start): string {
  const [only] = operations;
  return page(
    `Good day, ${person}`,
    `
${operations.length === 0 ? '<p>You belong to no operation at this moment. The owner of one can invite you.</p>' : ''}
${consults ? '<nav><a href="/yard/portfolio">Every herd that you consult, what matters most first</a></nav>' : ''}
${operations.map((operation) => operationPart(operation, operations.length > 1 || only === undefined)).join('\n')}
<div class="at-the-end">
<form method="post" action="/yard/sign-out"><button class="quiet" type="submit">Sign out</button></form>
<form method="post" action="/yard/sign-out"><input type="hidden" name="everywhere" value="yes"><button class="quiet" type="submit">Sign out on every device</button></form>
</div>`,
  );
}

function operationPart(operation: OperationHead, several: boolean): string {
  const role = `${operation.role}${operation.invented ? ', invented demo books' : ''}`;
  return `<section>
<h2>${text(operation.name)} <small>(${text(role)})</small></h2>
${sheetList(operation)}
<p><a href="/yard/operations/${operation.id}">Rations, trials and hay${several ? ` of ${text(operation.name)}` : ''}</a></p>
</section>`;
}

/** One row for each place with cattle: where, who stands there, and whether there is a ration to lay. */
export function sheetList({ id, places }: OperationHead): string {
  if (places.length === 0) return '<p>No herd has cattle today.</p>';
  return `<ul class="sheets">${places
    .map((place) => {
      const herds = place.herds
        .map(
          (herd) =>
            `${text(herd.herd)}, ${grouped(herd.head)} head${herd.ration === null ? ' <span class="lacking">no ration in use</span>' : ''}`,
        )
        .join('<br>');
      return place.placeId === null
        ? `<li><p>${herds}<br>No place is noted for ${place.herds.length === 1 ? 'this herd' : 'these herds'}, so there is no sheet. The manager can set it.</p></li>`
        : `<li><a href="/yard/operations/${id}/places/${place.placeId}/feed-sheet"><b>${text(place.place ?? '')}</b>${herds}<br><small>${text(place.ranch)}, ${place.onDay}</small></a></li>`;
    })
    .join('')}</ul>`;
}
