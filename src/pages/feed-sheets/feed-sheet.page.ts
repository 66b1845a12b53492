import type { FeedSheetAnswer } from '../../desk/feed-sheets/feed-sheet.schema.js';
import type { Ask } from '../ask-form.js';
import { between, BREAK, html, type Html, scrolling } from '../html.js';
import { htmlDocument } from '../layout.js';
import type { Link } from '../links.js';
import { FEED_SHEET_STYLE } from './feed-sheet.style.js';
import {
  ALREADY_FED,
  baleWords,
  bringWords,
  carriedWords,
  cautionNumbers,
  confirmedWords,
  dangersOf,
  dayWords,
  freeChoiceWords,
  type HerdSheet,
  leftWords,
  NOT_JUDGED,
  notJudgedWords,
  orderWords,
  otherFeedings,
  planWords,
  SEVERITY_WORDS,
  SHEET_FOOTER,
  type SheetLine,
  sourceWords,
  waterWords,
  asWeighed,
  weighed,
  whoDrinks,
  whole,
} from './feed-sheet.words.js';

/** The feed sheet as one page, with its print style; for a browser, with links to the PDF and the neighboring days. */
export function feedSheetPage(sheet: FeedSheetAnswer, links: readonly Link[] = [], ask?: Ask): string {
  const { place, ranch, onDay, herds, toBring, water } = sheet;
  const noHerd = html`<p class="none">No herd with cattle is at this place today.</p>`;
  return htmlDocument({
    title: `Feed sheet ${place} ${onDay} · Rickyard`,
    style: FEED_SHEET_STYLE,
    links,
    ask,
    body: html`<header>
<h1>${place}</h1><span class="day">${dayWords(onDay)}</span><p class="where">${ranch}</p>
</header>
${toBring.length === 0 ? null : bringPart(toBring)}
${herds.length === 0 ? noHerd : herds.map(herdSection)}
${waterPart(water)}
${cautionList(water.cautions)}
<footer>${SHEET_FOOTER}<br>Made ${sheet.madeAtRanch}</footer>`,
  });
}

function bringPart(toBring: FeedSheetAnswer['toBring']): Html {
  const lots = toBring.map((one) => {
    const where = one.liesAt === null ? null : ` (${one.liesAt})`;
    return html`${one.hayLot}${where}: <b>${asWeighed(one.lay)}</b>${bringWords(one)}`;
  });
  return html`<h2 class="part">To bring for all herds here</h2>
<p class="facts">${between(lots, BREAK)}</p>`;
}

function waterPart(water: FeedSheetAnswer['water']): Html {
  const { known, rest } = waterWords(water);
  const drunk = known === null ? null : html`${whoDrinks(water)} <b>${known}</b> today. `;
  const sources = water.sources.map((one) => {
    const { state, rest: found } = sourceWords(one);
    return html`${one.source}: <b>${state}</b>${found}`;
  });
  return html`<h2 class="part">Water</h2>
<p class="facts">${drunk}${rest}</p>
${sources.length === 0 ? null : html`<p class="facts">${between(sources, BREAK)}</p>`}`;
}

const HEAD = html`<tr><th scope="col">Step</th><th scope="col">Lot</th><th scope="col">Lay</th></tr>`;

function herdSection(herd: HerdSheet): Html {
  const head = html`<header><h2>${herd.herd}</h2><span class="head">${whole(herd.head)} head</span></header>`;
  if (herd.nothingBecause !== null)
    return html`<section class="herd">${head}<p class="none">${herd.nothingBecause}</p>${fedPart(herd)}</section>
`;
  const rows = herd.layers.flatMap((layer) => layer.lines.map((line, index) => lineRow(herd, layer, line, index)));
  const confirmed = confirmedWords(herd);
  const done = confirmed === null ? null : html` <span class="done">${confirmed}</span>`;
  return html`<section class="herd">${head}
<p class="sub">${orderWords(herd)}${done}</p>
${fedPart(herd)}
${cautionList(dangersOf(herd))}
${scrolling(`${herd.herd}: what to lay`, html`<table><thead>${HEAD}</thead><tbody>${rows}</tbody></table>`)}
<p class="facts">${between(herdFacts(herd), ' · ')}</p>
${leftoversPart(herd)}
${freeChoiceWords(herd).map((words) => html`<p class="facts"><b class="line">${words}</b></p>`)}
${[...planWords(herd), ...carriedWords(herd)].map((words) => html`<p class="facts">${words}</p>`)}
${warningsPart(herd)}
${cautionList(herd.cautions.filter((one) => one.severity !== 'danger'))}
</section>
`;
}

/** What was fed on this day besides the sheet. */
function fedPart(herd: HerdSheet): Html | null {
  const fed = otherFeedings(herd);
  if (fed.length === 0) return null;
  return html`<ul>${fed.map((words) => html`<li class="danger"><b>${ALREADY_FED}</b>${words}</li>`)}</ul>`;
}

function lineRow(herd: HerdSheet, { step, role }: HerdSheet['layers'][number], line: SheetLine, index: number): Html {
  const number = html`${step}${step === 1 ? html`<small>first</small>` : null}`;
  const where = line.liesAt === null ? null : ` · ${line.liesAt}`;
  return html`<tr>
<td class="step">${index === 0 ? number : null}</td>
<th scope="row" class="lot">${line.hayLot}<small>${role}${where}</small></th>
<td class="lay">${asWeighed(line.lay)}<small>${baleWords(line, herd)}</small></td>
</tr>
`;
}

function herdFacts({ total, perHead, water }: HerdSheet): Html[] {
  return [
    total === null ? null : html`In all <b>${weighed(total)}</b>`,
    perHead === null ? null : html`<b>${Number(perHead.value).toFixed(1)} ${perHead.unit}</b> per head`,
    water === null ? null : html`water <b>${whole(water.value)} ${water.unit}</b>`,
  ].filter((fact) => fact !== null);
}

function leftoversPart(herd: HerdSheet): Html[] {
  return leftWords(herd).map(({ words, lots }) => {
    const shown = lots.map(([hayLot, mass]) => html`${hayLot} <b>${mass}</b>`);
    return html`<p class="facts">${words}: ${between(shown, ', ')}</p>`;
  });
}

/** What keeps the sheet from being laid, or from being judged. */
function warningsPart(herd: HerdSheet): Html {
  const short = herd.shortLots.map(
    (one) => html`<li class="danger"><b>NOT ENOUGH</b>${one.hayLot} is ${weighed(one.shortBy)} short.
Ask before you lay.</li>`,
  );
  const notJudged = html`<ul><li class="watch"><b>${NOT_JUDGED}</b>${notJudgedWords(herd)}</li></ul>`;
  return html`${short.length === 0 ? null : html`<ul>${short}</ul>`}
${herd.notJudgedBecause.length === 0 ? null : notJudged}`;
}

function cautionList(cautions: HerdSheet['cautions']): Html | null {
  if (cautions.length === 0) return null;
  const items = cautions.map(
    (one) => html`<li class="${one.severity}"><b>${SEVERITY_WORDS[one.severity]}</b>${one.message}
<small>${one.advice} Ask: ${one.consult.join(', ')}.</small><small>${cautionNumbers(one)}</small></li>
`,
  );
  return html`<ul>${items}</ul>`;
}
