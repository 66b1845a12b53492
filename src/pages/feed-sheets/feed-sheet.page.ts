import { type Link, linksBar, LINKS_STYLE, text } from '../layout.js';
import type { FeedSheetAnswer } from '../../desk/feed-sheets/feed-sheet.schema.js';
import {
  baleWords,
  bringWords,
  cautionNumbers,
  dayWords,
  type HerdSheet,
  NOT_JUDGED,
  notJudgedWords,
  SEVERITY_WORDS,
  SHEET_FOOTER,
  waterWords,
  weighed,
  whole,
} from './feed-sheet.words.js';

/**
 * Large type, black on white, nothing that a glove must hit: the sheet is read on a tractor and printed before sunrise.
 */
const STYLE = `
* { box-sizing: border-box; }
body { font: 20px/1.35 system-ui, "Liberation Sans", sans-serif; color: #000; background: #fff; margin: 0 auto; padding: 1.2rem; max-width: 60rem; }
header { display: flex; justify-content: space-between; align-items: baseline; flex-wrap: wrap; gap: .2rem 2rem; border-bottom: 6px solid #000; }
h1 { font-size: 2.3rem; margin: 0; }
.day { font-size: 1.5rem; font-weight: 700; }
.where { width: 100%; margin: 0 0 .4rem; }
h2 { font-size: 1.8rem; margin: 1.2rem 0 .2rem; }
h3 { font-size: 1.3rem; margin: 1rem 0 .3rem; }
.head { font-size: 1.5rem; font-weight: 700; white-space: nowrap; }
.sub { margin: 0 0 .5rem; }
table { border-collapse: collapse; width: 100%; }
td { border-bottom: 2px solid #000; padding: .5rem .6rem .5rem 0; vertical-align: middle; }
.step { font-size: 3rem; font-weight: 800; width: 4.2rem; text-align: center; line-height: 1; }
.step small { display: block; font-size: .95rem; font-weight: 700; }
.lot { font-size: 1.6rem; font-weight: 700; line-height: 1.15; }
.lot small { display: block; font-size: 1.05rem; font-weight: 400; }
.lay { font-size: 2.3rem; font-weight: 800; text-align: right; white-space: nowrap; line-height: 1.05; }
.lay small { display: block; font-size: 1.2rem; font-weight: 700; white-space: normal; }
.facts { margin: .6rem 0 0; font-size: 1.25rem; }
.facts b { white-space: nowrap; }
ul { margin: .3rem 0; padding: 0; list-style: none; }
li { border: 3px solid #000; padding: .4rem .7rem; margin: .4rem 0; break-inside: avoid; }
li.notice { border-width: 1px; }
li.danger { background: #000; color: #fff; -webkit-print-color-adjust: exact; print-color-adjust: exact; }
li b { margin-right: .4rem; }
li small { display: block; font-size: .85rem; }
.none { font-size: 1.5rem; border: 4px dashed #000; padding: .8rem; }
.done { font-weight: 700; }
footer { margin-top: 1.2rem; border-top: 2px solid #000; padding-top: .4rem; font-size: .85rem; }
section.herd { break-inside: auto; }
tr { break-inside: avoid; }
${LINKS_STYLE}
@page { margin: 12mm; }
@media print { body { padding: 0; max-width: none; font-size: 15px; } section.herd + section.herd { break-before: page; } }
`;

/**
 * The feed sheet as one page, with its print style; where a browser walks the pages, with links to the PDF and the days
 * beside it.
 */
export function feedSheetPage(sheet: FeedSheetAnswer, links: readonly Link[] = []): string {
  const { water } = sheet;
  const drunk = waterWords(water);
  return `<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>Feed sheet ${text(sheet.place)} ${sheet.onDay} · Rickyard</title>
<link rel="icon" href="data:,">
<style>${STYLE}</style>
</head>
<body>
${linksBar(links)}<header><h1>${text(sheet.place)}</h1><span class="day">${dayWords(sheet.onDay)}</span><p class="where">${text(sheet.ranch)}</p></header>
${sheet.toBring.length === 0 ? '' : `<h3>To bring for all herds here</h3>\n<p class="facts">${sheet.toBring.map((one) => `${text(one.hayLot)}${one.liesAt === null ? '' : ` (${text(one.liesAt)})`}: <b>${weighed(one.lay)}</b>${text(bringWords(one))}`).join('<br>')}</p>`}
${sheet.herds.length === 0 ? '<p class="none">No herd with cattle is at this place today.</p>' : sheet.herds.map(herdSection).join('\n')}
<h3>Water</h3>
<p class="facts">${drunk.known === null ? '' : `${water.needUnknownFor.length === 0 ? 'All herds here' : 'The other herds here'} drink about <b>${drunk.known}</b> today. `}${text(drunk.rest)}</p>
${water.sources.length === 0 ? '' : `<p class="facts">${water.sources.map((one) => `${text(one.source)}: <b>${one.state.replace('-', ' ')}</b>${one.givesADay === null ? '' : `, gives ${whole(one.givesADay.value)} ${one.givesADay.unit} a day`} (checked ${one.checkedOn})`).join('<br>')}</p>`}
${cautionList(water.cautions)}
<footer>${text(SHEET_FOOTER)}<br>Made ${text(sheet.madeAtRanch)}</footer>
</body>
</html>
`;
}

function herdSection(herd: HerdSheet): string {
  const head = `<header><h2>${text(herd.herd)}</h2><span class="head">${whole(herd.head)} head</span></header>`;
  if (herd.nothingBecause !== null)
    return `<section class="herd">${head}<p class="none">${text(herd.nothingBecause)}</p></section>`;
  const rows = herd.layers.flatMap((layer) =>
    layer.lines.map(
      (line, index) => `<tr>
<td class="step">${index === 0 ? `${layer.step}${layer.step === 1 ? '<small>first</small>' : ''}` : ''}</td>
<td class="lot">${text(line.hayLot)}<small>${layer.role}${line.liesAt === null ? '' : ` · ${text(line.liesAt)}`}</small></td>
<td class="lay">${weighed(line.lay)}<small>${text(baleWords(line))}</small></td>
</tr>`,
    ),
  );
  return `<section class="herd">${head}
<p class="sub">${text(herd.ration?.name ?? '')}. Lay in this order: 1 goes down first, the next on top of it.${herd.confirmation === null ? '' : ' <span class="done">Confirmed as fed.</span>'}</p>
<table><tbody>${rows.join('\n')}</tbody></table>
<p class="facts">${[
    herd.total === null ? '' : `In all <b>${weighed(herd.total)}</b>`,
    herd.perHead === null ? '' : `<b>${Number(herd.perHead.value).toFixed(1)} ${herd.perHead.unit}</b> a head`,
    herd.water === null ? '' : `water <b>${whole(herd.water.value)} ${herd.water.unit}</b>`,
  ]
    .filter((part) => part !== '')
    .join(' · ')}</p>
${herd.leftovers.length === 0 ? '' : `<p class="facts">Over for tomorrow: ${herd.leftovers.map((one) => `${text(one.hayLot)} <b>${weighed(one.carriedOut)}</b>`).join(', ')}</p>`}
${herd.shortLots.length === 0 ? '' : `<ul>${herd.shortLots.map((one) => `<li class="danger"><b>NOT ENOUGH</b>${text(one.hayLot)} is ${weighed(one.shortBy)} short. Ask before you lay.</li>`).join('')}</ul>`}
${herd.notJudgedBecause.length === 0 ? '' : `<ul><li class="watch"><b>${NOT_JUDGED}</b>${text(notJudgedWords(herd))}</li></ul>`}
${cautionList(herd.cautions)}
</section>`;
}

function cautionList(cautions: HerdSheet['cautions']): string {
  if (cautions.length === 0) return '';
  return `<ul>${cautions.map((one) => `<li class="${one.severity}"><b>${SEVERITY_WORDS[one.severity]}</b>${text(one.message)}<small>${text(one.advice)} Ask: ${text(one.consult.join(', '))}.</small><small>${text(cautionNumbers(one))}</small></li>`).join('')}</ul>`;
}
