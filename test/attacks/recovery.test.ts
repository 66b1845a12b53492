/*
 * Recovery is a second door to an account. An owner may open it for their own people and never farther than their own
 * books; everybody else has codes of their own.
 */
import { newId } from '../../src/platform/identifiers.js';
import {
  clientOf,
  confirm,
  join,
  type Operation,
  operationWith,
  PASSPHRASE,
  type Person,
  person,
  signIn,
} from '../support/people.js';
import { openWorld, type World } from '../support/world.js';

const NEW = 'a barn full of second cutting';

let world: World;
/** The other ranch, where the person is wanted. */
let theirs: Operation;
beforeAll(async () => {
  world = await openWorld();
  theirs = await operationWith(world, { roles: ['owner'] });
});
afterAll(() => world.close());

/** The owner of a house with one hand hands herself a token for the hand's account. */
async function houseWithToken(): Promise<{ house: Operation; hand: Person; token: string }> {
  const house = await operationWith(world, { roles: ['owner', 'hand'], name: 'Only House' });
  const { hand } = house.people;
  const { items } = (
    await house.as.owner.get<{ items: { id: string; personId: string }[] }>(house.at('/memberships'), { expect: 200 })
  ).body;
  const id = items.find((one) => one.personId === hand.id)?.id ?? '';
  const { token } = (
    await house.as.owner.post<{ token: string }>(
      house.at(`/memberships/${id}/recovery-tokens`),
      { reason: 'Says that he forgot it' },
      { expect: 201 },
    )
  ).body;
  return { house, hand, token };
}
const use = (token: string) => world.anyone.post('/v1/recovery-by-token', { token, newPassphrase: NEW }, { key: null });

describe('what was issued before', () => {
  it('is good no longer once an owner issues another token', async () => {
    const { house, hand, token } = await houseWithToken();
    const { items } = (
      await house.as.owner.get<{ items: { id: string; personId: string }[] }>(house.at('/memberships'), { expect: 200 })
    ).body;
    const id = items.find((one) => one.personId === hand.id)?.id ?? '';
    const newer = (
      await house.as.owner.post<{ token: string }>(
        house.at(`/memberships/${id}/recovery-tokens`),
        { reason: 'The first went astray' },
        { expect: 201 },
      )
    ).body.token;
    expect([(await use(token)).status, (await use(newer)).status]).toEqual([401, 204]);
  });

  it('is good no longer once a person makes other codes, also several times at once', async () => {
    const who = await person(world, 'code maker');
    const as = await clientOf(world, who);
    const made = await Promise.all(
      [1, 2, 3].map(() =>
        as.post<{ codes: string[] }>(
          '/v1/me/recovery-codes',
          { presentPassphrase: PASSPHRASE },
          { key: null, expect: 200 },
        ),
      ),
    );
    const left = await world.ownerPool.query('SELECT 1 FROM recovery_code WHERE person_id = $1 AND used_at IS NULL', [
      who.id,
    ]);
    expect(left.rowCount).toBe(10);
    const statuses: number[] = [];
    for (const { body } of made)
      statuses.push(
        (
          await world.anyone.post(
            '/v1/recovery-by-code',
            { email: who.email, recoveryCode: body.codes[0], newPassphrase: NEW },
            { key: null },
          )
        ).status,
      );
    expect(statuses.toSorted()).toEqual([204, 401, 401]);
  });
});

describe("an owner's token", () => {
  it.each<[string, (hand: Person) => Promise<unknown>]>([
    [
      'an engagement is offered elsewhere',
      ({ email }) => theirs.as.owner.post(theirs.at('/engagements'), { consultantEmail: email }, { expect: 201 }),
    ],
    [
      'an invitation is open elsewhere',
      ({ email }) => theirs.as.owner.post(theirs.at('/invitations'), { email, role: 'manager' }, { expect: 201 }),
    ],
    [
      'a membership elsewhere waits to be confirmed',
      (hand) => join(world, hand, theirs.id, 'manager', { confirmed: false }),
    ],
    ['they belong elsewhere', (hand) => join(world, hand, theirs.id, 'accountant')],
    [
      'a proposal of theirs is open elsewhere',
      async (hand) =>
        world.anyone
          .as((await signIn(world, hand)).accessToken)
          .post('/v1/me/engagement-proposals', { ownerEmail: theirs.people.owner.email }, { expect: 201 }),
    ],
  ])('takes no account over while %s', async (_where, stand) => {
    const { hand, token } = await houseWithToken();
    await stand(hand);
    expect((await use(token)).body).toMatchObject({ status: 401, type: '/problems/recovery-failed' });
    await signIn(world, hand);
  });

  it('helps a person of the house, and every other owner sees from then on who vouches for the account', async () => {
    const { hand, token } = await houseWithToken();
    world.clock.advance({ minutes: 1 });
    expect((await use(token)).status).toBe(204);
    await signIn(world, hand, NEW);
    await join(world, hand, theirs.id, 'accountant');
    const { items } = (
      await theirs.as.owner.get<{ items: { personId: string; account: object }[] }>(theirs.at('/memberships'), {
        expect: 200,
      })
    ).body;
    expect(items.find((one) => one.personId === hand.id)?.account).toMatchObject({
      vouchedBy: 'Only House',
      vouchedAt: world.clock.now().toISOString(),
    });
  });
});

describe('codes of their own', () => {
  it('are given at enrollment, kept as hashes, and lead back in wherever their person stands', async () => {
    const email = `hand.${newId().slice(-8)}@example.test`;
    const house = await operationWith(world, { roles: ['owner'] });
    const { token } = (
      await house.as.owner.post<{ token: string }>(house.at('/invitations'), { email, role: 'hand' }, { expect: 201 })
    ).body;
    const { recoveryCodes, personId } = (
      await world.anyone.post<{ recoveryCodes: string[]; personId: string }>(
        '/v1/invitation-acceptances',
        { token, name: 'Kit Marrow', passphrase: NEW },
        { key: null, expect: 201 },
      )
    ).body;
    expect(new Set(recoveryCodes).size).toBe(10);
    await confirm(house, personId);
    const who = { id: personId, name: 'Kit Marrow', email };
    await join(world, who, theirs.id, 'manager');
    const { rows } = await world.ownerPool.query<{ row: string }>(
      'SELECT c::text AS row FROM recovery_code c UNION ALL SELECT i::text FROM idempotency_record i ' +
        'UNION ALL SELECT a::text FROM audit_entry a',
    );
    for (const code of recoveryCodes)
      for (const written of [code, code.replaceAll('-', '')])
        expect(rows.some(({ row }) => row.includes(written))).toBe(false);
    const again = `${NEW} and a third`;
    await world.anyone.post(
      '/v1/recovery-by-code',
      { email, recoveryCode: recoveryCodes[0], newPassphrase: again },
      { key: null, expect: 204 },
    );
    await signIn(world, who, again);
    // Once.
    expect(
      (
        await world.anyone.post(
          '/v1/recovery-by-code',
          { email, recoveryCode: recoveryCodes[0], newPassphrase: NEW },
          { key: null },
        )
      ).status,
    ).toBe(401);
    // Not with another's.
    const other = await person(world, 'other');
    expect(
      (
        await world.anyone.post(
          '/v1/recovery-by-code',
          { email: other.email, recoveryCode: recoveryCodes[1], newPassphrase: NEW },
          { key: null },
        )
      ).status,
    ).toBe(401);
  });
});
