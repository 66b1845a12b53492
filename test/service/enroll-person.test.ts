import { enrollPerson } from '../../src/commands/enroll-person.js';
import { openWorld, type World } from '../support/world.js';

/** A server of one's own begins empty: the first person comes by command, everybody else by invitation. */
describe('the first person of an empty server', () => {
  let world: World;
  beforeAll(async () => {
    world = await openWorld();
  });
  afterAll(() => world.close());

  it('is enrolled, signs in and opens an operation', async () => {
    const { email, passphrase, recoveryCodes } = await enrollPerson(world.database, {
      email: 'First@Yard.example',
      name: 'Orla Fenwick',
    });
    expect(email).toBe('first@yard.example');
    expect(new Set(recoveryCodes).size).toBe(10);
    const session = await world.anyone.post<{ accessToken: string; person: { name: string } }>(
      '/v1/sign-in',
      { email, passphrase },
      { expect: 200 },
    );
    expect(session.body.person.name).toBe('Orla Fenwick');
    const answer = await fetch(`${world.address}/v1/operations`, {
      method: 'POST',
      headers: {
        authorization: `Bearer ${session.body.accessToken}`,
        'content-type': 'application/json',
        'idempotency-key': '"first"',
      },
      body: JSON.stringify({ name: 'First yard', unitPreference: 'us', currency: 'USD', timeZone: 'America/Denver' }),
    });
    expect([answer.status, await answer.json()]).toMatchObject([201, { role: 'owner', seesPrices: true }]);
  });

  it('is refused where the email is taken, is none, or the name is missing', async () => {
    await expect(
      enrollPerson(world.database, { email: 'first@yard.example', name: 'Somebody Else' }),
    ).rejects.toMatchObject({ code: 'conflict' });
    await expect(enrollPerson(world.database, { email: 'no address', name: 'Nobody' })).rejects.toThrow(/email/i);
    await expect(enrollPerson(world.database, { email: 'second@yard.example', name: undefined })).rejects.toThrow();
  });
});
