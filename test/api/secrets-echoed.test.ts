/* What is refused is echoed, but never a secret: not by its field, and not as a part of what holds it. */
import { openWorld, type World } from '../support/world.js';
import { clientOf, person, PASSPHRASE } from '../support/people.js';

let world: World;
beforeAll(async () => {
  world = await openWorld();
});
afterAll(() => world.close());

it.each([
  ['a wrong field name beside it', '/v1/me/second-look', { factor: 'passphrase', passphrase: PASSPHRASE }],
  ['a body that is the passphrase', '/v1/me/second-look', JSON.stringify(PASSPHRASE)],
  ['a list of it', '/v1/sign-in', JSON.stringify([PASSPHRASE])],
  ['a field of a field', '/v1/sign-in', { email: { passphrase: PASSPHRASE }, passphrase: { secret: PASSPHRASE } }],
])('with %s', async (_what, path, body) => {
  const as = await clientOf(world, await person(world, 'who types it wrong'));
  const answer = await as.post(path, body, { headers: { 'Content-Type': 'application/json' }, key: null });
  expect(answer.status).toBe(400);
  expect(answer.text).not.toContain(PASSPHRASE);
});
