import { z } from 'zod';
import { endpoint } from '../../platform/http/endpoint.js';
import { id } from '../../platform/wire/common.schema.js';
import { unitsQuery } from '../../platform/wire/quantity.schema.js';
import { judgement } from '../../desk/trials/trial-judgement.schema.js';
import { planAnswer, protocolAnswer, tag, trialParams } from '../../desk/trials/trial.schema.js';

const judgementParams = trialParams.extend({ judgementId: id });
const query = z.strictObject(unitsQuery);

export const getTrialPlan = endpoint({
  method: 'GET',
  path: '/v1/operations/:operationId/trials/:trialId/plan',
  operationId: 'getTrialPlan',
  tag,
  access: 'read',
  summary: 'What a trial of this size can and cannot see',
  description:
    'Of a draft as the books stand now; of a trial that began as it was promised then. As a picture: head or pens ' +
    'against the smallest visible difference.',
  params: trialParams,
  query,
  answer: planAnswer,
  alsoAs: ['svg', 'html', 'pdf'],
});
export const getTrialProtocol = endpoint({
  method: 'GET',
  path: '/v1/operations/:operationId/trials/:trialId/protocol',
  operationId: 'getTrialProtocol',
  tag,
  access: 'read',
  summary: 'The sheet for the yard',
  description: 'When to weigh, how to shrink, what to write down each day.',
  params: trialParams,
  answer: protocolAnswer,
  alsoAs: ['html', 'pdf'],
});
export const getTrialJudgement = endpoint({
  method: 'GET',
  path: '/v1/operations/:operationId/trials/:trialId/judgements/:judgementId',
  operationId: 'getTrialJudgement',
  tag,
  access: 'read',
  summary: 'The report of one look at a trial',
  description:
    'As it was kept: what was asked, what was found with its interval, what it cannot say. Money shows to those who ' +
    'see prices. As a page or as PDF with its pictures.',
  params: judgementParams,
  query,
  answer: judgement,
  alsoAs: ['html', 'pdf'],
});
export const getTrialPicture = endpoint({
  method: 'GET',
  path: '/v1/operations/:operationId/trials/:trialId/judgements/:judgementId/pictures/:picture',
  operationId: 'getTrialPicture',
  tag,
  access: 'read',
  summary: 'One picture of a report',
  description:
    'growth: mean weight of each arm by day; difference: the difference with its interval; visible: head or pens ' +
    'against the smallest visible difference. The drawing comes with ?format=svg.',
  params: judgementParams.extend({
    picture: z.enum(['growth', 'difference', 'visible']).describe('Which picture of the trial is drawn'),
  }),
  query,
  answer: z.object({
    picture: z.enum(['growth', 'difference', 'visible']).describe('Which picture of the trial is drawn'),
    report: judgement.describe('The judgment that the picture is drawn from'),
  }),
  alsoAs: ['svg'],
});
