import { z } from 'zod';
import { endpoint } from '../../../platform/http/endpoint.js';
import type { Act } from '../../../platform/http/act.js';
import { day, id, operationParams } from '../../../platform/wire/common.schema.js';
import { confirmQuery } from '../../../platform/wire/confirm.schema.js';
import { COUNT, type EntryKind, HEAD, TICKET, TICKET_OF_NEW_LOT, WATER, WEATHER, WEIGH_IN } from './entry-kinds.js';
import { formShown } from './form.schema.js';

const AT = '/yard/operations/:operationId';
const base = { tag: 'Pages', browser: true, params: operationParams } as const;

/** All that a form sends: text. What the fields may hold says the API address that the form stands for. */
const sent = z.record(z.string().min(1).max(120), z.string().max(4000));
/** A form that enters something: done once for each `once` in it, as an API address is for each Idempotency-Key. */
const entering = {
  ...base,
  method: 'POST',
  transaction: 'own',
  bodyType: 'application/x-www-form-urlencoded',
  status: 303,
  onlyOnce: true,
  query: z.strictObject(confirmQuery),
  body: sent,
} as const;

const prefilled = z.strictObject({
  entered: id.optional(),
  herdId: id.optional(),
  hayLotId: id.optional(),
  placeId: id.optional(),
  ranchId: id.optional(),
});

function pagesOf<const Reach extends Act>(kind: EntryKind, name: string, access: Reach) {
  return {
    kind,
    page: endpoint({
      ...base,
      method: 'GET',
      path: `${AT}/${kind.what}`,
      operationId: `${name}Form`,
      access,
      summary: kind.title,
      query: prefilled,
      answer: formShown,
      alsoAs: ['html'],
    }),
    enter: endpoint({
      ...entering,
      path: `${AT}/${kind.what}`,
      operationId: `${name}ByForm`,
      access,
      summary: `${kind.title}: enter it`,
    }),
  };
}

export const ticket = pagesOf(TICKET, 'hayTicket', 'records');
export const ticketOfNewLot = pagesOf(TICKET_OF_NEW_LOT, 'hayTicketOfNewLot', 'records');
export const weighIn = pagesOf(WEIGH_IN, 'weighIn', 'daily');
export const count = pagesOf(COUNT, 'count', 'records');
export const head = pagesOf(HEAD, 'head', 'records');
export const water = pagesOf(WATER, 'water', 'daily');
export const weather = pagesOf(WEATHER, 'weather', 'daily');

export const ENTRY_PAGES = [ticket, ticketOfNewLot, weighIn, count, head, water, weather];

export const fedForm = endpoint({
  ...base,
  method: 'GET',
  path: `${AT}/herds/:herdId/fed`,
  operationId: 'fedForm',
  access: 'daily',
  summary: 'What a herd was fed, where it differs from its sheet',
  params: operationParams.extend({ herdId: id }),
  query: z.strictObject({ on: day.optional() }),
  answer: formShown,
  alsoAs: ['html'],
});
export const fedByForm = endpoint({
  ...entering,
  path: `${AT}/fed`,
  operationId: 'fedByForm',
  access: 'daily',
  summary: 'Confirm that a sheet was fed, as shown or otherwise',
});
