import { z } from 'zod';
import { pageAnswer, pageQuery } from '../../platform/http/cursor.js';
import { endpoint } from '../../platform/http/endpoint.js';
import { id, instantIn, instantOut, name, note, operationParams, version } from '../../platform/wire/common.schema.js';
import { role, seesPrices } from '../memberships/membership.schema.js';
import { newPassphrase } from '../people/passphrase-rule.js';
import { emailNoteOut, emailProvenOut } from '../../platform/wire/unproven-address.schema.js';
import { email } from '../sign-in/sign-in.schema.js';

const tag = 'People';
const params = operationParams.extend({ invitationId: id });

const invitation = z
  .object({
    id,
    email: z.string().describe('Email address of the person who is invited'),
    emailProven: emailProvenOut.describe(
      'True once whoever accepted has shown that mail to this address reaches them; false: unproven',
    ),
    emailNote: emailNoteOut,
    role,
    seesPrices,
    from: instantOut.nullable(),
    until: instantOut.nullable(),
    note: z.string().describe('Free text; null if nothing was noted').nullable(),
    state: z.enum(['open', 'accepted', 'withdrawn', 'expired']).describe('State of the invitation'),
    invitedBy: id,
    createdAt: instantOut,
    expiresAt: instantOut,
    acceptedAt: instantOut.nullable(),
    membershipId: id.nullable(),
    version,
  })
  .meta({ id: 'Invitation', description: "An owner's invitation to one email address" });

export const createInvitation = endpoint({
  method: 'POST',
  path: '/v1/operations/:operationId/invitations',
  operationId: 'createInvitation',
  tag,
  access: 'own',
  secondLook: true,
  summary: 'Invite a person',
  description:
    'No mail is sent: the token is given in this one answer, to be handed over. A repeat answers with `token` null. ' +
    'Once it was used, confirm who accepted (…/memberships/{membershipId}/confirmation): until then nothing opens.',
  params: operationParams,
  body: z.strictObject({
    email,
    role,
    seesPrices: seesPrices.optional().describe('Whether money is shown; left out, it is shown unless the role is hand'),
    from: instantIn.optional().describe('When the membership begins; left out, on acceptance'),
    until: instantIn.optional().describe('When the membership ends by itself'),
    days: z.number().int().min(1).max(30).default(7).describe('Number of days for which the invitation is good'),
    note: note.optional(),
  }),
  answer: invitation.extend({
    token: z.string().describe('Token to hand over in person; null in a repeated answer').nullable(),
  }),
  creates: (made, { operationId }) => `/v1/operations/${operationId}/invitations/${made.id}`,
  versioned: true,
  keptForRepeats: (answer) => ({ ...answer, token: null }),
});

export const listInvitations = endpoint({
  method: 'GET',
  path: '/v1/operations/:operationId/invitations',
  operationId: 'listInvitations',
  tag,
  access: 'own',
  summary: 'Invitations, newest first',
  params: operationParams,
  query: z.strictObject(pageQuery),
  answer: pageAnswer(invitation),
  paged: true,
});

export const getInvitation = endpoint({
  method: 'GET',
  path: '/v1/operations/:operationId/invitations/:invitationId',
  operationId: 'getInvitation',
  tag,
  access: 'own',
  summary: 'One invitation',
  params,
  answer: invitation,
  versioned: true,
});

export const withdrawInvitation = endpoint({
  method: 'DELETE',
  path: '/v1/operations/:operationId/invitations/:invitationId',
  operationId: 'withdrawInvitation',
  tag,
  access: 'own',
  secondLook: true,
  status: 204,
  summary: 'Withdraw an invitation',
  params,
  changes: true,
  problems: ['conflict'],
});

const token = z.string().min(1).max(200).describe('The token that the owner handed over');
const joined = z
  .object({
    personId: id,
    operationId: id,
    membershipId: id,
    role,
    seesPrices,
    from: instantOut,
    until: instantOut.nullable(),
  })
  .meta({ id: 'Joined', description: 'The membership that an invitation became; it opens once an owner confirms it' });

export const acceptInvitation = endpoint({
  method: 'POST',
  path: '/v1/invitation-acceptances',
  operationId: 'acceptInvitation',
  tag,
  access: 'public',
  status: 201,
  summary: 'Accept an invitation as a new person',
  description:
    "Enrols a person under the invitation's email. A person who is already enrolled signs in and accepts at " +
    '/v1/me/invitation-acceptances.',
  body: z.strictObject({ token, name, passphrase: newPassphrase }),
  answer: joined.extend({
    recoveryCodes: z
      .array(z.string())
      .describe('Ten codes, each good for one new passphrase; shown here and never again. Keep them on paper'),
  }),
  problems: ['not-found', 'conflict', 'too-many-attempts'],
});

export const joinByInvitation = endpoint({
  method: 'POST',
  transaction: 'own',
  path: '/v1/me/invitation-acceptances',
  operationId: 'joinByInvitation',
  tag,
  access: 'signed-in',
  status: 201,
  summary: 'Accept an invitation to your own email',
  body: z.strictObject({ token }),
  answer: joined,
  problems: ['not-found', 'conflict', 'too-many-attempts'],
});
