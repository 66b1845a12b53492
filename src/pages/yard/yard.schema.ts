import { z } from 'zod';
import { feedSheetOut, sheetFiledUnder } from '../../desk/feed-sheets/feed-sheet.schema.js';
import { portfolioAnswer, portfolioQuery } from '../../desk/portfolio/portfolio.schema.js';
import { review } from '../../desk/ration-review/ration-review.schema.js';
import { rationOut } from '../../desk/rations/ration.schema.js';
import { judgement, judgementSummary } from '../../desk/trials/trial-judgement.schema.js';
import { planAnswer, protocolAnswer, trialOut, trialParams } from '../../desk/trials/trial.schema.js';
import { budgetOut } from '../../office/hay-budget/hay-budget.schema.js';
import { closeoutQuery, closeoutReport } from '../../office/closeout/closeout.schema.js';
import { hayPositionReport } from '../../office/hay-position/hay-position.schema.js';
import { assertion } from '../../access/passkeys/credential.schema.js';
import { codeField } from '../account/code-field.js';
import { inField } from '../account/in-field.js';
import { email } from '../../access/sign-in/sign-in.schema.js';
import { endpoint } from '../../platform/http/endpoint.js';
import { day, id, operationParams } from '../../platform/wire/common.schema.js';
import { hayLotOut } from '../../records/hay/lots/hay-lot.schema.js';
import { hayObservationOut } from '../../records/hay/observations/hay-observation.schema.js';
import {
  samplingPlanOut,
  samplingPlanParams,
  samplingPlanQuery,
} from '../../records/hay/sampling/sampling-plan.schema.js';
import { unitsQuery, unitSystem } from '../../platform/wire/quantity.schema.js';
import { judgementFiledUnder, pictureFiledUnder, planFiledUnder, protocolFiledUnder } from './trial-files.js';

const tag = 'Pages';
/** Where to go after signing in: only one of our own pages. */
const within = z
  .string()
  .max(500)
  .regex(/^\/yard(?:[/?][A-Za-z0-9/_.~?&=%-]*)?$/, 'must be the address of a page');
const judgementParams = trialParams.extend({ judgementId: id });
const picture = z.enum(['growth', 'difference', 'visible']);
const none = z.literal('').transform(() => undefined);

const base = { tag, browser: true } as const;
const get = { ...base, method: 'GET' } as const;

export const signInPage = endpoint({
  ...get,
  path: '/yard/sign-in',
  operationId: 'signInPage',
  access: 'public',
  summary: 'Sign in to the pages',
  query: z.strictObject({ next: within.optional() }),
  answer: z.object({
    next: z.string().nullable(),
    email: z.string(),
    problem: z.string().nullable(),
    passkeysAt: z.string().nullable(),
  }),
  alsoAs: ['html'],
});
export const signInByForm = endpoint({
  ...base,
  method: 'POST',
  path: '/yard/sign-in',
  operationId: 'signInByForm',
  access: 'public',
  summary: 'Sign in to the pages',
  bodyType: 'application/x-www-form-urlencoded',
  status: 303,
  body: z.strictObject({
    email,
    passphrase: z.string().min(1).max(256),
    code: codeField,
    next: z.union([none, within]).optional(),
  }),
});
export const signInByPasskeyForm = endpoint({
  ...base,
  method: 'POST',
  path: '/yard/sign-in/passkey',
  operationId: 'signInByPasskeyForm',
  access: 'public',
  summary: 'Sign in to the pages with a passkey',
  bodyType: 'application/x-www-form-urlencoded',
  status: 303,
  body: z.strictObject({ credential: inField(assertion), next: z.union([none, within]).optional() }),
});
export const signOutByForm = endpoint({
  ...base,
  method: 'POST',
  transaction: 'own',
  path: '/yard/sign-out',
  operationId: 'signOutByForm',
  access: 'signed-in',
  summary: 'Sign out of the pages',
  bodyType: 'application/x-www-form-urlencoded',
  status: 303,
  body: z.strictObject({ everywhere: z.literal('yes').optional() }),
});

const place = z.object({
  placeId: id.nullable(),
  place: z.string().nullable(),
  ranch: z.string(),
  onDay: day,
  herds: z.array(z.object({ herdId: id, herd: z.string(), head: z.number().int(), ration: z.string().nullable() })),
});
export const operationHead = z.object({
  id,
  name: z.string(),
  role: z.string(),
  invented: z.boolean(),
  seesPrices: z.boolean(),
  mayOffice: z.boolean(),
  today: day,
  places: z.array(place),
});
export type OperationHead = z.output<typeof operationHead>;

export const startPage = endpoint({
  ...get,
  path: '/yard',
  operationId: 'startPage',
  access: 'signed-in',
  summary: "The operations of the person asking, and today's feed sheets",
  answer: z.object({ person: z.string(), consults: z.boolean(), operations: z.array(operationHead) }),
  alsoAs: ['html'],
});
export const operationPage = endpoint({
  ...get,
  path: '/yard/operations/:operationId',
  operationId: 'operationPage',
  access: 'read',
  summary: 'An operation: sheets, rations in use, trials, hay',
  params: operationParams,
  answer: z.object({
    operation: operationHead,
    herds: z.array(z.object({ herdId: id, herd: z.string() })).describe('Every herd, also one whose cattle left'),
    rations: z.array(rationOut),
    lots: z.array(hayLotOut),
    trials: z.array(z.object({ trial: trialOut, judgements: z.array(judgementSummary) })),
    closeouts: z
      .array(z.object({ herdId: id, herd: z.string() }))
      .describe('Every herd, also one whose cattle left; none for who sees no prices'),
  }),
  alsoAs: ['html'],
});

export const feedSheetPage = endpoint({
  ...get,
  path: '/yard/operations/:operationId/places/:placeId/feed-sheet',
  operationId: 'feedSheetPage',
  access: 'read',
  summary: 'The feed sheet of a place and a day',
  params: operationParams.extend({ placeId: id }),
  query: z.strictObject({ ...unitsQuery, on: day.optional() }),
  answer: z.object({ operationId: id, sheet: feedSheetOut }),
  filedUnder: ({ sheet }) => sheetFiledUnder(sheet),
  alsoAs: ['html', 'pdf'],
});

export const trialPlanPage = endpoint({
  ...get,
  path: '/yard/operations/:operationId/trials/:trialId/plan',
  operationId: 'trialPlanPage',
  access: 'read',
  summary: 'What a trial of this size can and cannot see',
  params: trialParams,
  query: z.strictObject(unitsQuery),
  answer: z.object({ operationId: id, plan: planAnswer }),
  filedUnder: ({ plan }) => planFiledUnder(plan),
  alsoAs: ['html', 'pdf', 'svg'],
});
export const trialProtocolPage = endpoint({
  ...get,
  path: '/yard/operations/:operationId/trials/:trialId/protocol',
  operationId: 'trialProtocolPage',
  access: 'read',
  summary: 'The sheet for the yard',
  params: trialParams,
  answer: z.object({ operationId: id, protocol: protocolAnswer }),
  filedUnder: ({ protocol }) => protocolFiledUnder(protocol),
  alsoAs: ['html', 'pdf'],
});
export const trialReportPageOf = endpoint({
  ...get,
  path: '/yard/operations/:operationId/trials/:trialId/judgements/:judgementId',
  operationId: 'trialReportPage',
  access: 'read',
  summary: 'The report of one look at a trial',
  params: judgementParams,
  query: z.strictObject(unitsQuery),
  answer: z.object({ operationId: id, report: judgement }),
  filedUnder: ({ report }) => judgementFiledUnder(report),
  alsoAs: ['html', 'pdf'],
});
export const trialPicturePage = endpoint({
  ...get,
  path: '/yard/operations/:operationId/trials/:trialId/judgements/:judgementId/pictures/:picture',
  operationId: 'trialPicturePage',
  access: 'read',
  summary: 'One picture of a report',
  params: judgementParams.extend({ picture }),
  query: z.strictObject(unitsQuery),
  answer: z.object({ picture, report: judgement }),
  filedUnder: ({ picture: which, report }) => pictureFiledUnder(which, report),
  alsoAs: ['svg'],
});

export const hayPositionPage = endpoint({
  ...get,
  path: '/yard/operations/:operationId/hay-position',
  operationId: 'hayPositionPage',
  inThread: 'long-ledger',
  access: 'prices',
  summary: 'Hay on hand and what it is worth',
  params: operationParams,
  query: z.strictObject({ on: day.optional(), ...unitsQuery }),
  answer: z.object({ operationId: id, report: hayPositionReport }),
  filedUnder: ({ report: { onDay } }) => ({ onDay }),
  alsoAs: ['html', 'pdf'],
});
export const closeoutPage = endpoint({
  ...get,
  path: '/yard/operations/:operationId/herds/:herdId/closeout',
  operationId: 'closeoutPage',
  inThread: 'long-ledger',
  access: 'prices',
  summary: 'A herd closed out: what it cost and brought',
  params: operationParams.extend({ herdId: id }),
  query: closeoutQuery,
  answer: z.object({ operationId: id, report: closeoutReport, asked: z.record(z.string(), z.string()) }),
  filedUnder: ({ report: { herd, from, until } }) => ({ of: herd, from, until }),
  alsoAs: ['html', 'pdf'],
});
export const hayBudgetPage = endpoint({
  ...get,
  path: '/yard/operations/:operationId/hay-budget',
  operationId: 'hayBudgetPage',
  inThread: 'long-ledger',
  access: 'read',
  summary: 'Whether the hay lasts',
  params: operationParams,
  query: z.strictObject({ from: day.optional(), until: day.optional(), ...unitsQuery }),
  answer: z.object({ operationId: id, report: budgetOut }),
  filedUnder: ({ report: { from, until } }) => ({ from, until }),
  alsoAs: ['html', 'pdf'],
});
export const hayLotPage = endpoint({
  ...get,
  path: '/yard/operations/:operationId/hay-lots/:hayLotId',
  operationId: 'hayLotPage',
  access: 'read',
  summary: 'A hay lot: which bales to core for the lab, and what was seen of it',
  params: samplingPlanParams,
  query: samplingPlanQuery,
  answer: z.object({
    operationId: id,
    invented: z.boolean(),
    onDay: day,
    plan: samplingPlanOut,
    observations: z.array(hayObservationOut),
    elsewhere: z.array(z.object({ hayLot: z.string(), observation: hayObservationOut })),
  }),
  filedUnder: ({ plan, onDay }) => ({ what: 'hay lot', of: plan.hayLot, onDay }),
  alsoAs: ['html', 'pdf'],
});
export const rationReportPage = endpoint({
  ...get,
  path: '/yard/operations/:operationId/ration-report',
  operationId: 'rationReportPage',
  inThread: 'always',
  access: 'read',
  summary: 'What each herd is fed against what it needs',
  params: operationParams,
  query: z.strictObject({ on: day.optional(), herdId: id.optional(), ...unitsQuery }),
  answer: z.object({
    operationId: id,
    operation: z.string(),
    invented: z.boolean(),
    onDay: day,
    units: unitSystem,
    herdId: id.nullable(),
    reviews: z.array(review.extend({ byRation: z.string().nullable() })),
  }),
  alsoAs: ['html', 'pdf'],
});
export const portfolioPage = endpoint({
  ...get,
  path: '/yard/portfolio',
  operationId: 'portfolioPage',
  inThread: 'always',
  access: 'signed-in',
  summary: 'The herds of all operations that one advises, what matters most first',
  // The form sends nothing as the unit where each operation keeps its own.
  query: portfolioQuery.extend({ units: z.union([none, unitSystem]).optional() }),
  answer: z.object({
    herds: portfolioAnswer,
    onDay: day,
    units: unitSystem.nullable(),
    asked: z.record(z.string(), z.string()),
  }),
  filedUnder: ({ onDay }) => ({ what: 'herds', onDay }),
  alsoAs: ['html', 'pdf'],
});
