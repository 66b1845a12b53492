/**
 * Every problem the API can answer with: its status, its constant title, what it means and what to do.
 * The code is the last part of the problem's type: /problems/<code>, where this text can be read.
 */
export const PROBLEMS = {
  'invalid-input': {
    status: 400,
    title: 'Some of the input cannot be used',
    meaning: 'A field in the path, the query, a header or the body is missing, of the wrong form or out of range.',
    whatToDo: 'The list `errors` names each field, what was given and what is allowed. Nothing was saved.',
  },
  'malformed-body': {
    status: 400,
    title: 'The body is not valid JSON',
    meaning: 'The body could not be read as JSON.',
    whatToDo: 'Send one JSON document in UTF-8 with Content-Type: application/json.',
  },
  'idempotency-key-missing': {
    status: 400,
    title: 'An Idempotency-Key is needed',
    meaning: 'Requests that create something carry a key of your own making, so that a repeat is not done twice.',
    whatToDo:
      'Send the header Idempotency-Key with a fresh quoted string (a UUID is good) and keep it for repeats of ' +
      'the same request.',
  },
  'not-signed-in': {
    status: 401,
    title: 'Sign in first',
    meaning: 'No valid access token or API key came with the request.',
    whatToDo: 'Sign in at POST /v1/sign-in, or renew an expired access token at POST /v1/token-refresh.',
  },
  'sign-in-failed': {
    status: 401,
    title: 'Email and passphrase do not match',
    meaning: 'Either the email is not known or the passphrase is wrong; the answer does not say which.',
    whatToDo: 'Check both and try again.',
  },
  'second-factor-needed': {
    status: 401,
    title: 'A one-time code is needed',
    meaning: 'The passphrase is right; it is not enough alone where one-time codes are set up, or a passkey.',
    whatToDo:
      'Send the current code of the generator as oneTimeCode, or an unused recovery code as recoveryCode; or sign in ' +
      'with the passkey, which needs neither.',
  },
  'passkey-failed': {
    status: 401,
    title: 'The passkey was not accepted',
    meaning:
      'It is not known here or has ended, or it does not answer a challenge of this server that is still good and ' +
      'was not answered before, or its count did not rise; the answer does not say which.',
    whatToDo: 'Get a new challenge at POST /v1/passkey-challenges and try again, or sign in with the passphrase.',
  },
  'recovery-failed': {
    status: 401,
    title: 'Recovery was not possible',
    meaning:
      'The code or token is unknown, was used, has expired or is not enough for this person; the answer does ' +
      'not say which.',
    whatToDo:
      'Check what was typed. A token of an owner works only for people who belong to no other operation; a ' +
      'one-time code is needed too where one is set up.',
  },
  'refresh-failed': {
    status: 401,
    title: 'The refresh token no longer works',
    meaning:
      'It is unknown, expired or was used before. A token used twice ends its whole session, since a copy may ' +
      'be in other hands.',
    whatToDo: 'Sign in again.',
  },
  'not-permitted': {
    status: 403,
    title: 'Your role does not allow this',
    meaning:
      'You belong to this operation, but your role or key does not include the permission that the detail names.',
    whatToDo: 'Ask the owner of the operation.',
  },
  'owner-asks-more': {
    status: 403,
    title: 'The owner of the operation asks for more',
    meaning:
      'Whoever comes into these books needs what their owner asks for: one-time codes set up, a key that is not too ' +
      'old or, as a consultant, a passphrase or code given not too long ago. The detail says which of these.',
    whatToDo: 'Do what the detail says, and repeat the request.',
  },
  'second-look-needed': {
    status: 403,
    title: 'Show once more that it is you',
    meaning:
      'Keys, members, webhooks, deletion and recovery are managed only within minutes of giving the passphrase, a ' +
      'one-time code or a passkey: a session may have been left open.',
    whatToDo:
      'Send the passphrase, the current one-time code or a passkey to POST /v1/me/second-look, and repeat the request.',
  },
  'not-found': {
    status: 404,
    title: 'Nothing here by that name',
    meaning: 'There is no such record, or you may not see it.',
    whatToDo: 'Check the id and the operation.',
  },
  'method-not-allowed': {
    status: 405,
    title: 'That method is not offered here',
    meaning: 'The address exists, the method does not.',
    whatToDo: 'The Allow header lists the methods offered.',
  },
  'not-acceptable': {
    status: 406,
    title: 'None of the accepted forms is offered',
    meaning: 'The Accept header asks for a form this address does not have.',
    whatToDo: 'Ask for one of the forms in the detail.',
  },
  conflict: {
    status: 409,
    title: 'This does not fit what is already recorded',
    meaning: 'A record like it exists, or it was already reversed.',
    whatToDo: 'Read the record again; the detail says what is in the way.',
  },
  confirm: {
    status: 409,
    title: 'This is unlikely: is it right?',
    meaning:
      'The entry could be true, but is outside of what is usual, or is a danger to the cattle. The list `errors` ' +
      'says what was given, what is usual and where that comes from.',
    whatToDo:
      'Check the figures and units. If they are right, send the same request with the codes in `confirm`, such as ' +
      '?confirm=price-unusual; the Idempotency-Key may stay the same. What was confirmed is kept with the record and ' +
      'listed at /confirmed-entries.',
  },
  'lot-short': {
    status: 409,
    title: 'There is not that much hay in the lot',
    meaning: 'The draw would take the lot below zero now or on a later day that is already recorded.',
    whatToDo: 'Draw no more than is left, or correct the count first. The detail says how much is missing and when.',
  },
  'lot-name-in-use': {
    status: 409,
    title: 'Another lot with hay has this name',
    meaning: 'A lot of the same ranch that still has hay has this name, but for case and spaces.',
    whatToDo: 'Name that lot by its id if it is the same hay, or choose another name. The detail tells the other lot.',
  },
  'herd-short': {
    status: 409,
    title: 'There are not that many head in the herd',
    meaning: 'The change would leave fewer than no animals on a day.',
    whatToDo: 'Check the number and the day; the detail says where it fails.',
  },
  'period-closed': {
    status: 409,
    title: 'The books of that day are closed',
    meaning: 'The entry is dated on or before the last day of a closed period.',
    whatToDo:
      'Post it to the first open day (postTo: "open-period"), give a later day, or ask the accountant to reopen ' +
      'the period with a reason.',
  },
  'last-owner': {
    status: 409,
    title: 'An operation must keep an owner',
    meaning: 'The change would leave the operation without an owner whose membership has no end.',
    whatToDo: 'Make another member owner first.',
  },
  'deletion-not-ready': {
    status: 409,
    title: 'The deletion cannot be confirmed now',
    meaning: 'It was not asked for, its wait is not over, or the time to confirm it has passed.',
    whatToDo: 'Read the deletion; it says from when until when it can be confirmed.',
  },
  'second-factor-unreadable': {
    status: 409,
    title: 'The one-time code cannot be checked here',
    meaning:
      "The secret of this person's generator was sealed under a key that this server does not have, or was " +
      'changed since, as when a database is restored without its key. The code may be right.',
    whatToDo:
      'Send an unused recovery code as recoveryCode; then remove the second factor at POST ' +
      '/v1/me/second-factor/removal with another one and set it up again. Or whoever runs the server can restore the ' +
      'key.',
  },
  'mail-not-offered': {
    status: 409,
    title: 'This server sends no mail',
    meaning: 'Whoever runs the server has not set up mail, so no link can be sent and every address stays unproven.',
    whatToDo: 'Whoever runs the server can set SMTP_URL, MAIL_FROM and PUBLIC_URL; nothing else needs mail.',
  },
  'passkeys-not-offered': {
    status: 409,
    title: 'This server takes no passkeys',
    meaning:
      'Browsers make passkeys for a name, over https or at localhost, and whoever runs the server has not said such ' +
      'an address.',
    whatToDo:
      'Whoever runs the server can set PUBLIC_URL to its https address; until then sign in with passphrase and ' +
      'one-time code.',
  },
  'changed-meanwhile': {
    status: 412,
    title: 'The record has changed in the meantime',
    meaning: 'The If-Match header does not name the current version.',
    whatToDo: 'Read the record again, look at what changed and repeat with its new ETag.',
  },
  'body-too-large': {
    status: 413,
    title: 'The body is too large',
    meaning: 'The body is over the limit.',
    whatToDo: 'Send less at a time.',
  },
  'unsupported-media-type': {
    status: 415,
    title: 'That form of body is not accepted',
    meaning: 'The Content-Type is not one this address reads.',
    whatToDo: 'Send Content-Type: application/json.',
  },
  'idempotency-key-reused': {
    status: 422,
    title: 'The Idempotency-Key belongs to another request',
    meaning: 'This key was used before with a different body.',
    whatToDo: 'Use a fresh key for a new request; repeat the old body only with the old key.',
  },
  'rule-broken': {
    status: 422,
    title: 'These values do not fit together',
    meaning: 'Each field is well formed, but together, or against what is recorded, they cannot be right.',
    whatToDo: 'The list `errors` says which rule, what was given and what is allowed. Nothing was saved.',
  },
  'file-too-large': {
    status: 422,
    title: 'The file is more than is read',
    meaning:
      'A file of records is measured before anything is made of it: its rows, columns and sheets, the names of its ' +
      'columns, the text in its cells. Something in it is beyond what is read.',
    whatToDo:
      'The list `errors` names it, with how much there is and how much is allowed. Cut the file into smaller ones, ' +
      'or leave out what holds no records; nothing was saved.',
  },
  'import-refused': {
    status: 422,
    title: 'The file was not imported',
    meaning: 'A file is imported whole or not at all, and something in it cannot be used.',
    whatToDo:
      'The list `errors` names every problem by row and column, with what is there and what is allowed. Correct ' +
      'the file and send it again; nothing was saved.',
  },
  'likely-duplicates': {
    status: 409,
    title: 'Some of the file looks as if it were there already',
    meaning:
      'Records of the same day, herd or lot, and weight are entered already, or come twice in the file. That may be ' +
      'right, so it is asked.',
    whatToDo:
      'The list `errors` names the rows and what they look like. Send the file again with duplicates=skip to enter ' +
      'the other rows alone, or with duplicates=enter to enter these too; nothing was saved.',
  },
  'import-not-reversed': {
    status: 409,
    title: 'The import was not taken back',
    meaning: 'An import is taken back whole or not at all, and something stands in the way.',
    whatToDo:
      'The list `errors` names what rests on rows of the file, or which of its days are closed. Reverse what rests ' +
      'on it first, or ask with postTo "open-period"; nothing was reversed.',
  },
  'precondition-missing': {
    status: 428,
    title: 'An If-Match header is needed',
    meaning: 'A change must name the version that it is based on, so that no one overwrites what they have not seen.',
    whatToDo: 'Read the record and send its ETag as If-Match.',
  },
  'too-many-attempts': {
    status: 429,
    title: 'Too many attempts',
    meaning: 'What could be guessed, and mail that could be a nuisance, is limited for each person, email and network.',
    whatToDo: 'Wait as long as the Retry-After header says.',
  },
  'too-many-requests': {
    status: 429,
    title: 'Too many requests',
    meaning:
      'Requests are counted for each network address, API key, person and operation, and this one has sent too many.',
    whatToDo: 'Wait as long as the Retry-After header says, then ask more slowly: a list gives many records at once.',
  },
  'too-much-at-once': {
    status: 429,
    title: 'Too many requests at once for this operation',
    meaning:
      'Requests of one operation share a part of the server, so that no ranch keeps another waiting. All of that ' +
      'part is in use, and more requests are waiting.',
    whatToDo:
      'Wait as long as the Retry-After header says and repeat the request with the same Idempotency-Key; send fewer ' +
      'requests at a time.',
  },
  unexpected: {
    status: 500,
    title: 'Something went wrong on our side',
    meaning: 'This is a fault of the server. Nothing of the request was saved.',
    whatToDo: 'Repeat the request with the same Idempotency-Key; if it fails again, report the request id.',
  },
  'not-ready': {
    status: 503,
    title: 'Not ready',
    meaning: 'The server is starting, stopping, or its database does not answer or has no room to save anything.',
    whatToDo:
      'Wait as long as the Retry-After header says and repeat the request, with the same Idempotency-Key if it ' +
      'had one.',
  },
  'took-too-long': {
    status: 503,
    title: 'This took too long',
    meaning:
      'The request waited for records that another request is changing, or asked for more than can be read or ' +
      'calculated in the time and memory allowed. Nothing of it was saved.',
    whatToDo:
      'Wait as long as the Retry-After header says and repeat the request with the same Idempotency-Key; ask for a ' +
      'shorter span if it was a report, and cut the file if it was one.',
  },
} as const;

export type ProblemCode = keyof typeof PROBLEMS;

export const PROBLEM_CODES = Object.keys(PROBLEMS) as ProblemCode[];
