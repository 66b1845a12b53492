import { z } from 'zod';
import { pageAnswer, pageQuery } from '../../platform/http/cursor.js';
import { endpoint } from '../../platform/http/endpoint.js';
import { registerWriters } from '../../platform/http/writers.js';
import {
  id,
  instantIn,
  instantOut,
  note,
  operationParams,
  reason,
  version,
} from '../../platform/wire/common.schema.js';
import { seesPrices } from '../memberships/membership.schema.js';
import { emailNoteOut, emailProvenOut } from '../../platform/wire/unproven-address.schema.js';
import { email } from '../sign-in/sign-in.schema.js';
import {
  AFTER_ENGAGEMENT,
  ENGAGEMENT_SIDES,
  ENGAGEMENT_STATES,
  PROPOSAL_STATES,
} from '../../platform/wire/words.data.js';

const tag = 'Engagements';
const params = operationParams.extend({ engagementId: id });
const ownParams = z.object({ engagementId: id });

const afterEnd = z
  .enum(AFTER_ENGAGEMENT)
  .describe(
    'What the consultant keeps after the end: a copy of what could be read at the end, or nothing. The live ' +
      'records close in either case',
  );
const until = instantIn.describe(
  "When it ends by itself; left out, it is open-ended. The consultant's copy is then as of that moment",
);

const offerCode = z.string().min(20).max(60).describe('The code of the offer');
const proposalCode = z.string().min(20).max(60).describe('The code of the proposal');

const engagement = z
  .object({
    id,
    operationId: id,
    operation: z.string().describe('Name of the operation'),
    consultantEmail: z.string().describe('Email of the consultant'),
    consultantEmailProven: emailProvenOut.describe(
      'True once whoever accepted has shown that mail to this address reaches them; false: unproven',
    ),
    consultantEmailNote: emailNoteOut,
    consultantId: id.nullable(),
    begunBy: z.enum(ENGAGEMENT_SIDES).describe('Which side made the offer'),
    state: z
      .enum([...ENGAGEMENT_STATES, 'expired'])
      .describe('State of the agreement; unconfirmed: accepted with the code, and open once an owner confirms it'),
    code: z
      .string()
      .describe('Code to hand to the consultant in person or by phone; told when the offer is made, null ever after')
      .nullable(),
    seesPrices,
    until: instantOut.nullable(),
    afterEnd,
    note: z.string().describe('Free text; null if nothing was noted').nullable(),
    offeredAt: instantOut,
    expiresAt: instantOut.describe('Last moment at which the offer can be accepted'),
    answeredAt: instantOut.nullable(),
    membershipId: id.nullable(),
    endedAt: instantOut.nullable(),
    endedBy: z.enum(ENGAGEMENT_SIDES).describe('Which side ended it; null while it has not ended').nullable(),
    version,
  })
  .meta({ id: 'Engagement', description: 'An agreement between an operation and a consulting nutritionist' });

const terms = {
  seesPrices: seesPrices.default(false),
  until: until.optional(),
  afterEnd: afterEnd.default('history'),
  note: note.optional(),
};

export const offerEngagement = endpoint({
  method: 'POST',
  path: '/v1/operations/:operationId/engagements',
  operationId: 'offerEngagement',
  tag,
  access: 'own',
  secondLook: true,
  summary: 'Offer an engagement to a consultant',
  description:
    'Shown to whoever signs in with that email. The answer does not say whether anybody does. Hand the `code` over ' +
    'in person or by phone; once it was used, confirm who accepted (…/memberships/{membershipId}/confirmation). ' +
    'Good for 30 days.',
  params: operationParams,
  body: z.strictObject({ consultantEmail: email, ...terms }),
  answer: engagement,
  versioned: true,
  creates: (made, { operationId }) => `/v1/operations/${operationId}/engagements/${made.id}`,
  keptForRepeats: (answer) => ({ ...answer, code: null }),
});

export const acceptProposal = endpoint({
  method: 'POST',
  path: '/v1/operations/:operationId/engagements/by-proposal',
  operationId: 'acceptProposal',
  tag,
  access: 'own',
  secondLook: true,
  summary: "Answer a consultant's proposal with an offer to that account alone",
  description: 'As an offer of your own: with a code to hand over, and your confirmation once it was used.',
  params: operationParams,
  body: z.strictObject({
    proposalId: id,
    code: proposalCode
      .optional()
      .describe('The code that the consultant handed over; needed while your address is not proven'),
    ...terms,
  }),
  answer: engagement,
  versioned: true,
  creates: (made, { operationId }) => `/v1/operations/${operationId}/engagements/${made.id}`,
  keptForRepeats: (answer) => ({ ...answer, code: null }),
});

export const listEngagements = endpoint({
  method: 'GET',
  path: '/v1/operations/:operationId/engagements',
  operationId: 'listEngagements',
  tag,
  access: 'own',
  summary: 'Engagements of the operation, newest first',
  params: operationParams,
  query: z.strictObject(pageQuery),
  answer: pageAnswer(engagement),
  paged: true,
});

export const getEngagement = endpoint({
  method: 'GET',
  path: '/v1/operations/:operationId/engagements/:engagementId',
  operationId: 'getEngagement',
  tag,
  access: 'own',
  summary: 'One engagement',
  params,
  answer: engagement,
  versioned: true,
});

export const changeEngagement = endpoint({
  method: 'PATCH',
  path: '/v1/operations/:operationId/engagements/:engagementId',
  operationId: 'changeEngagement',
  tag,
  access: 'own',
  secondLook: true,
  summary: 'Change what an engagement grants',
  description: "After the end only `afterEnd` can change, and only to nothing: the consultant's copy is then removed.",
  params,
  body: z.strictObject({
    seesPrices: seesPrices.optional(),
    until: until.nullable().optional(),
    afterEnd: afterEnd.optional(),
  }),
  answer: engagement,
  changes: true,
  versioned: true,
  problems: ['conflict'],
});

const why = z.strictObject({ reason });

export const endEngagement = endpoint({
  method: 'POST',
  path: '/v1/operations/:operationId/engagements/:engagementId/end',
  operationId: 'endEngagement',
  tag,
  access: 'own',
  secondLook: true,
  status: 200,
  summary: 'End an engagement now, or withdraw an offer',
  params,
  body: why,
  answer: engagement,
  changes: true,
  versioned: true,
  problems: ['conflict'],
});

export const listOwnEngagements = endpoint({
  method: 'GET',
  path: '/v1/me/engagements',
  operationId: 'listOwnEngagements',
  tag,
  access: 'signed-in',
  summary: 'Engagements offered to you or held by you, newest first',
  description:
    'What is offered to your address is listed once the address is proven; before that POST /v1/me/engagement-offers ' +
    'finds it by its code.',
  query: z.strictObject(pageQuery),
  answer: pageAnswer(engagement),
  paged: true,
});

export const getOwnEngagement = endpoint({
  method: 'GET',
  path: '/v1/me/engagements/:engagementId',
  operationId: 'getOwnEngagement',
  tag,
  access: 'signed-in',
  summary: 'One of your own engagements',
  params: ownParams,
  answer: engagement,
  versioned: true,
});

export const findOffer = endpoint({
  method: 'POST',
  transaction: 'read',
  path: '/v1/me/engagement-offers',
  operationId: 'findOffer',
  tag,
  access: 'signed-in',
  status: 200,
  summary: 'Read an offer to your address by the code that the owner handed over',
  description: 'Nothing is changed. Without the code an offer shows only to an account whose address is proven.',
  body: z.strictObject({ code: offerCode }),
  answer: engagement,
  versioned: true,
  problems: ['not-found'],
});

export const acceptEngagement = endpoint({
  method: 'POST',
  path: '/v1/me/engagements/:engagementId/acceptance',
  operationId: 'acceptEngagement',
  tag,
  access: 'signed-in',
  status: 200,
  summary: 'Accept an engagement with the code that the owner handed over',
  description: 'It opens once an owner has confirmed who accepted.',
  params: ownParams,
  body: z.strictObject({ code: offerCode }),
  answer: engagement,
  changes: true,
  versioned: true,
  problems: ['conflict'],
});

export const declineEngagement = endpoint({
  method: 'POST',
  path: '/v1/me/engagements/:engagementId/refusal',
  operationId: 'declineEngagement',
  tag,
  access: 'signed-in',
  status: 200,
  summary: 'Decline an engagement, also after accepting it while no owner has confirmed',
  description: 'An offer is declined with its code, or without it from an account whose address is proven.',
  params: ownParams,
  body: z.strictObject({ code: offerCode.optional() }),
  answer: engagement,
  changes: true,
  versioned: true,
  problems: ['conflict'],
});

export const endOwnEngagement = endpoint({
  method: 'POST',
  transaction: 'own',
  path: '/v1/me/engagements/:engagementId/end',
  operationId: 'endOwnEngagement',
  tag,
  access: 'signed-in',
  status: 200,
  summary: 'End an engagement as the consultant',
  params: ownParams,
  body: why,
  answer: engagement,
  changes: true,
  versioned: true,
  problems: ['conflict'],
});

export const engagementCopy = endpoint({
  method: 'GET',
  transaction: 'own',
  path: '/v1/me/engagements/:engagementId/copy',
  operationId: 'getEngagementCopy',
  tag,
  access: 'signed-in',
  summary: 'What you keep of an engagement that has ended: a copy as of its end',
  params: ownParams,
  answer: z.object({
    operationId: id,
    endedAt: instantOut,
    records: z.number().int().describe('Records in the copy'),
    content: z.string().describe('The archive, base64; as application/gzip the archive itself'),
  }),
  alsoAs: ['gzip'],
});
registerWriters(engagementCopy, { gzip: (copy) => Buffer.from(copy.content, 'base64') });

const proposal = z
  .object({
    id,
    consultantId: id,
    consultant: z.string().describe('Name of the consultant'),
    consultantEmail: z.string().describe('Email of the consultant'),
    consultantEmailProven: emailProvenOut,
    consultantEmailNote: emailNoteOut,
    ownerEmail: z.string().describe('Email of the owner it was sent to'),
    code: z
      .string()
      .describe('Code to hand to the owner in person or by phone; told when the proposal is made, null ever after')
      .nullable(),
    note: z.string().describe('Free text; null if nothing was noted').nullable(),
    state: z.enum([...PROPOSAL_STATES, 'expired']).describe('State of the agreement'),
    createdAt: instantOut,
    expiresAt: instantOut,
    version,
  })
  .meta({ id: 'EngagementProposal', description: "A consultant's offer of service to an owner" });

export const createProposal = endpoint({
  method: 'POST',
  path: '/v1/me/engagement-proposals',
  operationId: 'createProposal',
  tag,
  access: 'signed-in',
  summary: 'Offer yourself as consultant to an owner',
  description:
    'Shown to whoever signs in with that email and has proven it, and to others who sign in with it by the `code`, ' +
    'which you hand over in person or by phone. The answer does not say whether anybody does. At most 20 open at a ' +
    'time. Good for 30 days.',
  body: z.strictObject({ ownerEmail: email, note: note.optional() }),
  answer: proposal,
  versioned: true,
  creates: (made) => `/v1/me/engagement-proposals/${made.id}`,
  keptForRepeats: (answer) => ({ ...answer, code: null }),
  problems: ['conflict'],
});

export const listProposals = endpoint({
  method: 'GET',
  path: '/v1/me/engagement-proposals',
  operationId: 'listProposals',
  tag,
  access: 'signed-in',
  summary: 'Proposals that you sent or received, newest first',
  description:
    'What was proposed to your address is listed once the address is proven; before that POST ' +
    '/v1/me/received-proposals finds it by its code.',
  query: z.strictObject(pageQuery),
  answer: pageAnswer(proposal),
  paged: true,
});

const proposalParams = z.object({ proposalId: id });

export const getProposal = endpoint({
  method: 'GET',
  path: '/v1/me/engagement-proposals/:proposalId',
  operationId: 'getProposal',
  tag,
  access: 'signed-in',
  summary: 'One proposal',
  params: proposalParams,
  answer: proposal,
  versioned: true,
});

export const closeProposal = endpoint({
  method: 'DELETE',
  path: '/v1/me/engagement-proposals/:proposalId',
  operationId: 'closeProposal',
  tag,
  access: 'signed-in',
  status: 204,
  summary: 'Withdraw a proposal that you sent, or decline one that you received',
  params: proposalParams,
  changes: true,
  problems: ['conflict'],
});

export const findProposal = endpoint({
  method: 'POST',
  transaction: 'read',
  path: '/v1/me/received-proposals',
  operationId: 'findProposal',
  tag,
  access: 'signed-in',
  status: 200,
  summary: 'Read a proposal to your address by the code that the consultant handed over',
  description: 'Nothing is changed. Without the code a proposal shows only to an account whose address is proven.',
  body: z.strictObject({ code: proposalCode }),
  answer: proposal,
  versioned: true,
  problems: ['not-found'],
});

export const declineProposal = endpoint({
  method: 'POST',
  path: '/v1/me/engagement-proposals/:proposalId/refusal',
  operationId: 'declineProposal',
  tag,
  access: 'signed-in',
  status: 200,
  summary: 'Decline a proposal that you received',
  description: 'With its code, or without it from an account whose address is proven.',
  params: proposalParams,
  body: z.strictObject({ code: proposalCode.optional() }),
  answer: proposal,
  changes: true,
  versioned: true,
  problems: ['conflict'],
});
