import { z } from 'zod';
import { ROLES } from '../../platform/roles/roles.data.js';
import { pageAnswer, pageQuery } from '../../platform/http/cursor.js';
import { endpoint } from '../../platform/http/endpoint.js';
import { id, instantIn, instantOut, operationParams, reason, version } from '../../platform/wire/common.schema.js';
import { emailNoteOut, emailProvenOut } from '../../platform/wire/unproven-address.schema.js';
import { MEMBERSHIP_CHANGES } from '../../platform/wire/words.data.js';

export const role = z.enum(ROLES).describe(`${ROLES.slice(0, -1).join(', ')} or ${ROLES.at(-1)}`);
export const seesPrices = z.boolean().describe('Whether money is shown; a hand never sees it');
const until = instantIn.describe('When it ends by itself; left out, it is open-ended');

const tag = 'People';
const params = operationParams.extend({ membershipId: id });

const account = z
  .object({
    enrolledAt: instantOut.describe('When the account was made'),
    vouchedBy: z
      .string()
      .describe(
        'Name of the operation whose owner invited the person to it, or last helped to a new passphrase; null if the ' +
          'keeper of the server made it',
      )
      .nullable(),
    vouchedHere: z.boolean().describe('True if it was this operation; another may have the same name'),
    vouchedAt: instantOut.describe('When that operation did so; null if the keeper of the server made it').nullable(),
  })
  .meta({ id: 'MemberAccount', description: 'What is known of the account by which a person accepted' });

const membership = z
  .object({
    id,
    personId: id,
    name: z.string().describe('Name of the person'),
    email: z.string().describe('Email address that the person signs in with'),
    emailProven: emailProvenOut,
    emailNote: emailNoteOut,
    role,
    seesPrices,
    from: instantOut,
    until: instantOut.describe('When it ends; null if it is open-ended').nullable(),
    present: z.boolean().describe('True if it is in force now'),
    confirmedAt: instantOut.describe('When an owner confirmed who accepted; null: it opens nothing yet').nullable(),
    account: account.describe('For owners, to tell whether it is the person who was meant; else null').nullable(),
    version,
  })
  .meta({ id: 'Membership', description: "A person's membership of an operation: role, sight of prices and dates" });

export const listMemberships = endpoint({
  method: 'GET',
  path: '/v1/operations/:operationId/memberships',
  operationId: 'listMemberships',
  tag,
  access: 'read',
  summary: 'Who belongs to the operation',
  params: operationParams,
  query: z.strictObject({
    ...pageQuery,
    ended: z.enum(['hide', 'show']).default('hide').describe('Whether memberships that have ended are listed too'),
  }),
  answer: pageAnswer(membership),
  paged: true,
});

export const getMembership = endpoint({
  method: 'GET',
  path: '/v1/operations/:operationId/memberships/:membershipId',
  operationId: 'getMembership',
  tag,
  access: 'read',
  summary: 'One membership of the operation',
  params,
  answer: membership,
  versioned: true,
});

export const membershipHistory = endpoint({
  method: 'GET',
  path: '/v1/operations/:operationId/memberships/:membershipId/history',
  operationId: 'getMembershipHistory',
  tag,
  access: 'own',
  summary: 'How the membership changed, oldest first',
  params,
  answer: z.object({
    changes: z.array(
      z.object({
        what: z.enum(MEMBERSHIP_CHANGES).describe('What happened to the membership'),
        role,
        seesPrices,
        until: instantOut.nullable(),
        version,
        changedAt: instantOut,
        changedBy: id.describe('Id of the person who changed it; null where no person did').nullable(),
      }),
    ),
  }),
});

export const changeMembership = endpoint({
  method: 'PATCH',
  path: '/v1/operations/:operationId/memberships/:membershipId',
  operationId: 'changeMembership',
  tag,
  access: 'own',
  secondLook: true,
  summary: 'Change role, prices or end',
  description: "Fields left out stay as they are. A nutritionist's membership is changed by the engagement.",
  params,
  body: z.strictObject({
    role: role.optional(),
    seesPrices: seesPrices.optional(),
    until: until.nullable().optional().describe('When it ends by itself; null for open-ended'),
  }),
  answer: membership,
  changes: true,
  versioned: true,
  problems: ['last-owner', 'conflict'],
});

export const confirmMembership = endpoint({
  method: 'POST',
  path: '/v1/operations/:operationId/memberships/:membershipId/confirmation',
  operationId: 'confirmMembership',
  tag,
  access: 'own',
  secondLook: true,
  status: 200,
  summary: 'Confirm that the person who accepted is the one you meant',
  description:
    'Until then the membership opens nothing. Compare name, email (unproven unless `emailProven`) and `account` ' +
    'with whom you handed the token or code to, and ask them in person or by phone; if it is somebody else, end the ' +
    'membership.',
  params,
  answer: membership,
  changes: true,
  versioned: true,
  problems: ['conflict'],
});

export const endMembership = endpoint({
  method: 'POST',
  path: '/v1/operations/:operationId/memberships/:membershipId/end',
  operationId: 'endMembership',
  tag,
  access: 'read',
  secondLook: true,
  status: 200,
  summary: "End a membership now: an owner can end anybody's, everybody their own",
  params,
  body: z.strictObject({ reason }),
  answer: membership,
  versioned: true,
  changes: true,
  problems: ['last-owner', 'conflict', 'not-permitted'],
});

export const issueRecoveryToken = endpoint({
  method: 'POST',
  path: '/v1/operations/:operationId/memberships/:membershipId/recovery-tokens',
  operationId: 'issueRecoveryToken',
  tag,
  access: 'own',
  secondLook: true,
  status: 201,
  summary: 'Issue a token by which a member who has lost the passphrase sets a new one',
  description:
    'Good once, for 24 hours, and only for a manager, hand or accountant who belongs to no other operation. It ' +
    'is recorded in the audit. The token is shown in this one answer; a repeat answers with `token` null.',
  params,
  body: z.strictObject({ reason }),
  onlyOnce: true,
  answer: z.object({
    membershipId: id,
    token: z.string().describe('Token to hand over in person; null in a repeated answer').nullable(),
    expiresAt: instantOut,
  }),
  keptForRepeats: (answer) => ({ ...answer, token: null }),
});
