import type { AnswerOf } from '../../platform/http/endpoint.js';
import { blocksAsHtml } from '../document/as-page.js';
import type { Block } from '../document/document.js';
import { html, type Html } from '../html.js';
import { htmlDocument } from '../layout.js';
import { left, perHeadShown, right, spelled } from '../yard/words.js';
import type { rationPage } from './desk-page.schema.js';
import { evaluationBlocks } from './evaluation-blocks.js';
import { DESK_STYLE } from './ration-desk.page.js';

type Page = AnswerOf<typeof rationPage>;

export async function rationHtml(page: Page): Promise<string> {
  const { operationId, ration, evaluation, mayDesk } = page;
  const at = `/yard/operations/${operationId}`;
  const blocks: Block[] = [
    {
      kind: 'table',
      columns: [left('Layer'), left('Lot', 2), right('Per head'), right('Of dry matter')],
      rows: ration.layers.flatMap(({ role, parts }) =>
        parts.map((part) => [
          role,
          part.freeChoice ? `${part.hayLot}, free choice` : part.hayLot,
          perHeadShown(part.perHead),
          `${part.dryMatterSharePercent.toFixed(0)} %`,
        ]),
      ),
    },
    { kind: 'heading', text: `What it does, ${evaluation.onDay}` },
    ...(await evaluationBlocks(ration.name, evaluation, true)),
    ...(page.notes.length === 0
      ? []
      : [
          { kind: 'heading', text: 'What was said' } as const,
          {
            kind: 'list',
            items: page.notes.map(
              ({ on, kind, writer, words }) => `${on}, ${spelled(kind)}, ${writer ?? ''}: ${words}`,
            ),
          } as const,
        ]),
  ];
  return htmlDocument({
    title: `${ration.name}, ${ration.herd}`,
    style: DESK_STYLE,
    links: [
      { href: at, words: 'All sheets' },
      { href: `${at}/herds/${ration.herdId}`, words: 'The herd' },
      ...(mayDesk ? [{ href: `${at}/herds/${ration.herdId}/ration-desk`, words: 'Lay another' }] : []),
    ],
    body: html`<h1>${ration.name}</h1>
<p class="subtitle">${ration.herd}, ${page.operation}: <b>${spelled(ration.state)}</b>${inUseWords(ration)}</p>
${nextSteps(page)}
${blocksAsHtml({ title: ration.name, blocks })}`,
  });
}

function inUseWords({ inUseFrom, inUseUntil }: Page['ration']): string {
  if (inUseFrom === null) return '';
  return `, from ${inUseFrom}${inUseUntil === null ? '' : ` until ${inUseUntil}`}`;
}

/** The buttons of what may be done next, under the role of whoever looks. */
function nextSteps({ ration, mayDesk, mayRecords, operationId, today }: Page): Html {
  const at = `/yard/operations/${operationId}/rations/${ration.id}`;
  const steps = {
    draft: mayDesk ? [step(`${at}/proposal`, 'Propose it to the ranch', wordsField('What to say with it'))] : [],
    proposed: [
      ...(mayRecords
        ? [
            step(`${at}/acceptance`, 'Accept it', null),
            step(`${at}/return`, 'Return it', wordsField('What should change', true)),
          ]
        : []),
      ...(mayDesk ? [step(`${at}/withdrawal`, 'Withdraw it', null)] : []),
    ],
    accepted: mayRecords ? [step(`${at}/use`, 'Put it in use', dayField('from', 'From', today))] : [],
    'in-use': mayRecords ? [step(`${at}/end`, 'End its use', dayField('on', 'First day without it', today))] : [],
    superseded: [],
  }[ration.state];
  return html`<div class="buttons">${steps}</div>`;
}

function step(action: string, button: string, fields: Html | null): Html {
  return html`<form method="post" action="${action}">${fields}<p><button type="submit">${button}</button></p></form>
`;
}

function wordsField(label: string, required = false): Html {
  return html`<label>${label} <input name="words" maxlength="2000"${required ? html` required` : null}></label>`;
}

function dayField(name: string, label: string, day: string): Html {
  return html`<label>${label} <input type="date" name="${name}" value="${day}" required></label>`;
}
