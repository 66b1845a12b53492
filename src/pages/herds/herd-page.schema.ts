import { z } from 'zod';
import { rationDriftOut } from '../../desk/rations/ration-drift.schema.js';
import { endpoint } from '../../platform/http/endpoint.js';
import { day, id, operationParams } from '../../platform/wire/common.schema.js';
import { unitsQuery, unitSystem } from '../../platform/wire/quantity.schema.js';
import { herdStateOut, herdWeightTrendOut } from '../../records/cattle/standing/herd-state.schema.js';

export const herdPage = endpoint({
  method: 'GET',
  browser: true,
  inThread: 'always',
  tag: 'Pages',
  access: 'read',
  path: '/yard/operations/:operationId/herds/:herdId',
  operationId: 'herdPage',
  summary: 'A herd: what it is, how its weight goes, what it was fed against what was planned',
  params: operationParams.extend({ herdId: id }),
  query: z.strictObject({ from: day.optional(), until: day.optional(), ...unitsQuery }),
  answer: z.object({
    operationId: id,
    operation: z.string(),
    invented: z.boolean(),
    seesPrices: z.boolean(),
    mayDesk: z.boolean(),
    from: day,
    until: day,
    units: unitSystem,
    state: herdStateOut,
    trend: herdWeightTrendOut,
    fed: rationDriftOut,
  }),
  filedUnder: ({ state, from, until }) => ({ what: 'herd', of: state.herd, from, until }),
  alsoAs: ['html', 'pdf'],
});
