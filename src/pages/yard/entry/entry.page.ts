import { html, type Html } from '../../html.js';
import { yardPage } from './yard-layout.js';
import type { FieldShown, FormShown } from './form.schema.js';

/** A form of the yard: what was entered last above it, or what is wrong with what was sent. */
export function formHtml(form: FormShown): string {
  const at = `/yard/operations/${form.operationId}`;
  return yardPage({
    title: form.title,
    links: [
      { href: `${at}/today?on=${form.onDay}`, words: 'Sheets' },
      { href: at, words: form.operation },
    ],
    body: html`${form.entered === null ? null : enteredPart(form.entered)}
${form.problem === null ? null : problemPart(form.problem)}
<form class="entry" method="post" action="${at}/${form.what}" data-entry="${form.title}">
<input type="hidden" name="once" value="${form.once}">
<input type="hidden" name="by" value="${form.by}">
${form.fields.map(fieldPart)}
${buttons(form, `${at}/${form.what}`)}
</form>
${form.besides.map(({ href, words }) => html`<p class="beside"><a href="${href}">${words}</a></p>`)}
${form.invented ? html`<p class="quiet">Invented demo books.</p>` : null}`,
  });
}

function enteredPart({ title, lines, warnings }: NonNullable<FormShown['entered']>): Html {
  return html`<section class="entered" role="status">
<h2>${title}</h2>
${lines.map((words) => html`<p>${words}</p>`)}
${warnings.length === 0 ? null : html`<ul class="warnings">${warnings.map((words) => html`<li>${words}</li>`)}</ul>`}
</section>
<h2>Another</h2>`;
}

function problemPart({ title, words }: NonNullable<FormShown['problem']>): Html {
  return html`<section class="refused" role="alert">
<h2>${title}</h2>
${words.map((one) => html`<p>${one}</p>`)}
<p>Nothing was saved.</p>
</section>`;
}

/** Where something is only unlikely, the first button says yes to that, and the other sends what was changed. */
function buttons({ confirm, button }: FormShown, action: string): Html {
  if (confirm === null) return html`<p class="send"><button type="submit">${button}</button></p>`;
  return html`<p class="send"><button type="submit" formaction="${action}?confirm=${confirm}">Yes, I mean it</button>
<button class="quiet" type="submit">I have changed it</button></p>`;
}

function fieldPart(field: FieldShown, index: number): Html {
  if (field.shows === 'hidden') return html`<input type="hidden" name="${field.name}" value="${field.value}">`;
  const id = `f${index}`;
  const told = field.problem === null ? null : html`<p class="wrong" id="${id}-wrong">${field.problem}</p>`;
  if (field.shows === 'box') {
    const box = { name: field.name, value: 'true' };
    return html`<p class="box"><label><input type="checkbox" name="${box.name}" value="${box.value}"
${field.value === 'true' ? html` checked` : null}${wrongOf(field, id)}> ${field.label}</label></p>
${told}`;
  }
  const label = html`<label for="${id}">${field.label}${besideLabel(field)}</label>`;
  if (field.unit === null)
    return html`${label}
${inputPart(field, id)}
${told}`;
  return html`${label}
<div class="measure">${inputPart(field, id)}
<label class="unit" for="${id}-unit">Unit of ${field.label}</label>
${selectPart({ id: `${id}-unit`, name: field.unit.name, value: field.unit.value, options: field.unit.options })}</div>
${told}`;
}

/** What helps to fill it, and that it need not be filled. */
function besideLabel({ required, hint }: FieldShown): Html | null {
  const words = [...(required ? [] : ['optional']), ...(hint === null ? [] : [hint])];
  return words.length === 0 ? null : html` <small>${words.join('; ')}</small>`;
}

const wrongOf = ({ problem }: FieldShown, id: string): Html | null =>
  problem === null ? null : html` aria-invalid="true" aria-describedby="${id}-wrong"`;

function inputPart(field: FieldShown, id: string): Html {
  const { name, value, shows, required, longest } = field;
  const must = required ? html` required` : null;
  const long = longest === null ? null : html` maxlength="${longest}"`;
  const wrong = wrongOf(field, id);
  switch (shows) {
    case 'choice':
      return selectPart({ id, name, value, options: field.options, more: html`${must}${wrong}`, unchosen: true });
    case 'lines':
      return html`<textarea id="${id}" name="${name}" rows="2"${must}${long}${wrong}>${value}</textarea>`;
    case 'day':
      return html`<input id="${id}" name="${name}" type="date" value="${value}"${must}${wrong}>`;
    case 'whole':
      return html`<input id="${id}" name="${name}" type="number" inputmode="numeric" step="1"${bounds(field)}
value="${value}"${must}${wrong}>`;
    case 'figure':
      return html`<input id="${id}" name="${name}" inputmode="decimal" autocomplete="off" maxlength="31"
value="${value}"${must}${wrong}>`;
    default:
      return html`<input id="${id}" name="${name}"${long} value="${value}"${must}${wrong}${listOf(field, id)}>
${field.options.length === 0 ? null : offeredPart(field, id)}`;
  }
}

function bounds({ least, most }: FieldShown): Html {
  return html`${least === null ? null : html` min="${least}"`}${most === null ? null : html` max="${most}"`}`;
}

const listOf = ({ options }: FieldShown, id: string): Html | null =>
  options.length === 0 ? null : html` list="${id}-before"`;

function offeredPart({ options }: FieldShown, id: string): Html {
  return html`<datalist id="${id}-before">${options.map(({ value }) => html`<option value="${value}"></option>`)}
</datalist>`;
}

interface Select {
  id: string;
  name: string;
  value: string;
  options: FieldShown['options'];
  more?: Html;
  unchosen?: boolean;
}

function selectPart({ id, name, value, options, more = html``, unchosen = false }: Select): Html {
  const known = options.some((one) => one.value === value);
  const first = unchosen && !known ? html`<option value="">…</option>` : null;
  return html`<select id="${id}" name="${name}"${more}>${first}${options.map((one) =>
    one.value === value
      ? html`<option value="${one.value}" selected>${one.words}</option>`
      : html`<option value="${one.value}">${one.words}</option>`,
  )}</select>`;
}
