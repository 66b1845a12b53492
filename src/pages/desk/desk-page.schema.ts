import { z } from 'zod';
import { evaluationOut, rationOut } from '../../desk/rations/ration.schema.js';
import { endpoint } from '../../platform/http/endpoint.js';
import { day, id, note, operationParams } from '../../platform/wire/common.schema.js';
import { unitsQuery, unitSystem } from '../../platform/wire/quantity.schema.js';
import { rationFields } from './ration-form.js';

const base = { tag: 'Pages', browser: true } as const;
const form = { ...base, method: 'POST', bodyType: 'application/x-www-form-urlencoded', status: 303 } as const;
const herdParams = operationParams.extend({ herdId: id });
const rationParams = operationParams.extend({ rationId: id });
const typed = z.record(z.string(), z.string());

/** Nothing is kept by asking, so this is a GET: what was typed stands in the address. */
export const rationDeskPage = endpoint({
  ...base,
  method: 'GET',
  inThread: 'always',
  access: 'desk',
  path: '/yard/operations/:operationId/herds/:herdId/ration-desk',
  operationId: 'rationDeskPage',
  summary: 'Lay a ration layer by layer and see it beside the one in use',
  params: herdParams,
  query: z.strictObject({ on: day.optional(), ...unitsQuery, ...rationFields }),
  answer: z.object({
    operationId: id,
    operation: z.string(),
    herdId: id,
    herd: z.string(),
    on: day,
    units: unitSystem,
    lots: z.array(z.object({ id, name: z.string(), kind: z.string(), left: z.string() })),
    typed,
    problems: z.array(z.object({ field: z.string(), message: z.string() })),
    inUse: z.object({ ration: z.string(), evaluation: evaluationOut }).nullable(),
    laid: evaluationOut.nullable(),
  }),
  alsoAs: ['html'],
});
export const keepRationByForm = endpoint({
  ...form,
  access: 'desk',
  path: '/yard/operations/:operationId/herds/:herdId/ration-desk',
  operationId: 'keepRationByForm',
  summary: 'Keep what was laid as a draft',
  params: herdParams,
  body: z.strictObject({ on: day.optional(), ...unitsQuery, ...rationFields }),
});

export const rationPage = endpoint({
  ...base,
  method: 'GET',
  inThread: 'always',
  access: 'read',
  path: '/yard/operations/:operationId/rations/:rationId',
  operationId: 'rationPage',
  summary: 'A ration, what it does for its herd, and the next step',
  params: rationParams,
  query: z.strictObject({ on: day.optional(), ...unitsQuery }),
  answer: z.object({
    operationId: id,
    operation: z.string(),
    today: day,
    mayDesk: z.boolean(),
    mayRecords: z.boolean(),
    ration: rationOut,
    evaluation: evaluationOut,
    notes: z.array(z.object({ words: z.string(), kind: z.string(), writer: z.string().nullable(), on: z.string() })),
  }),
  alsoAs: ['html'],
});

const words = note.optional();
const step = { ...form, params: rationParams } as const;
const at = '/yard/operations/:operationId/rations/:rationId';
export const proposeByForm = endpoint({
  ...step,
  access: 'desk',
  path: `${at}/proposal`,
  operationId: 'proposeRationByForm',
  summary: 'Propose a draft to the ranch',
  body: z.strictObject({ words }),
});
export const withdrawByForm = endpoint({
  ...step,
  access: 'desk',
  path: `${at}/withdrawal`,
  operationId: 'withdrawRationByForm',
  summary: 'Withdraw a proposal',
  body: z.strictObject({ words }),
});
export const acceptByForm = endpoint({
  ...step,
  access: 'records',
  path: `${at}/acceptance`,
  operationId: 'acceptRationByForm',
  summary: 'Accept a proposed ration',
  body: z.strictObject({ words }),
});
export const returnByForm = endpoint({
  ...step,
  access: 'records',
  path: `${at}/return`,
  operationId: 'returnRationByForm',
  summary: 'Return a proposal to the nutritionist',
  body: z.strictObject({ words: note.refine((said) => said.length > 0, 'must say what should change') }),
});
export const useByForm = endpoint({
  ...step,
  access: 'records',
  path: `${at}/use`,
  operationId: 'useRationByForm',
  summary: 'Put an accepted ration into use from a day on',
  body: z.strictObject({ from: day }),
});
export const endByForm = endpoint({
  ...step,
  access: 'records',
  path: `${at}/end`,
  operationId: 'endRationByForm',
  summary: 'End the use of a ration',
  body: z.strictObject({ on: day }),
});
