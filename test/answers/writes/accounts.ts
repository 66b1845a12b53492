import type { Writer } from './writer.js';

/** Signing in with right and wrong words, and out again. */
export async function sessions(writer: Writer): Promise<void> {
  const { owner } = writer.who;
  const { nobody } = writer.standing;
  await writer.post(
    nobody,
    '/v1/sign-in',
    { email: 'ada@coldwater.example', passphrase: 'not this one' },
    { as: 'with a wrong passphrase', key: null, expect: 401 },
  );
  await writer.post(
    nobody,
    '/v1/sign-in',
    { email: 'nobody@coldwater.example', passphrase: 'not this one' },
    { as: 'of nobody', key: null, expect: 401 },
  );
  await writer.post(
    nobody,
    '/v1/sign-in',
    { email: 'ada@coldwater.example' },
    { as: 'without a passphrase', key: null, expect: 400 },
  );
  const signedIn = await writer.post(
    nobody,
    '/v1/sign-in',
    { email: 'ada@coldwater.example', passphrase: 'hay in the barn by august' },
    { as: 'once more', key: null, expect: 200 },
  );
  const refreshed = await writer.post(
    nobody,
    '/v1/token-refresh',
    { refreshToken: signedIn.body['refreshToken'] },
    { key: null, expect: 200 },
  );
  await writer.post(
    nobody,
    '/v1/token-refresh',
    { refreshToken: signedIn.body['refreshToken'] },
    { as: 'twice', key: null },
  );
  await writer.post(
    { ...owner, token: String(refreshed.body['accessToken']) },
    '/v1/sign-out',
    {},
    { as: 'of the second session', key: null },
  );
}

/** Recovery, the second factor and the passphrase. */
export async function secrets(writer: Writer): Promise<void> {
  const { owner } = writer.who;
  const { nobody } = writer.standing;
  await writer.post(
    nobody,
    '/v1/recovery-by-code',
    {
      email: 'ada@coldwater.example',
      recoveryCode: '00000-00000-00000-00000-00000-000',
      newPassphrase: 'three gates and a cattle guard',
    },
    { key: null },
  );
  await writer.post(
    nobody,
    '/v1/recovery-by-token',
    { token: 'ryx_no', newPassphrase: 'three gates and a cattle guard' },
    { key: null },
  );
  await writer.post(
    owner,
    '/v1/me/second-factor',
    { presentPassphrase: 'not this one' },
    { as: 'with a wrong passphrase', key: null },
  );
  await writer.post(owner, '/v1/me/second-factor', { presentPassphrase: 'hay in the barn by august' }, { key: null });
  await writer.post(owner, '/v1/me/second-factor/confirmation', { oneTimeCode: '000000' }, { key: null });
  await writer.post(
    owner,
    '/v1/me/passphrase',
    { presentPassphrase: 'hay in the barn by august', newPassphrase: 'short' },
    { key: null },
  );
}

/** An operation begun. */
export async function operations(writer: Writer): Promise<void> {
  const { owner } = writer.who;
  await writer.post(
    owner,
    '/v1/operations',
    { name: 'Recorded yard (invented)', unitPreference: 'metric', currency: 'CAD', timeZone: 'America/Edmonton' },
    { expect: 201 },
  );
  await writer.post(
    owner,
    '/v1/operations',
    { name: 'Recorded yard', unitPreference: 'metric', currency: 'CAD', timeZone: 'The Moon' },
    { as: 'in a zone that is none', expect: 400 },
  );
}

/** An operation to be deleted, and kept after all. */
export async function deletion(writer: Writer): Promise<void> {
  const { owner, manager } = writer.who;
  const name = writer.operation.name;
  await writer.post(manager, '/deletion', { name, reason: 'No' }, { as: 'by the manager', expect: 403 });
  await writer.post(owner, '/deletion', { name: 'Another name', reason: 'No' }, { as: 'under another name' });
  await writer.post(owner, '/deletion', { name, reason: 'To see that it can be canceled' }, { expect: 201 });
  await writer.look('/deletion');
  await writer.post(
    owner,
    '/deletion/confirmation',
    { name, understood: 'every record is deleted for good' },
    { as: 'too early', key: null },
  );
  await writer.delete(owner, '/deletion');
  await writer.delete(owner, '/deletion', { as: 'twice' });
}
