/* The demo's passphrases stand in a file that everybody can read: they open nothing that others can reach. */
import path from 'node:path';
import { replacePublished, withFreshPassphrases } from '../../seed/demo-passphrases.js';
import { readScenario } from '../../seed/scenario.schema.js';
import { startDemo } from '../../seed/start-demo.js';
import { readConfig } from '../../src/platform/config.js';
import { clientOf, PASSPHRASE, person } from '../support/people.js';
import { openWorld, type World } from '../support/world.js';

const CHECKOUT = path.resolve(__dirname, '..', '..');

describe('Published passphrases', () => {
  let world: World;
  beforeAll(async () => {
    world = await openWorld();
  });
  afterAll(async () => {
    await world.close();
  });

  const signsIn = async (email: string, passphrase: string): Promise<number> =>
    (await world.anyone.post('/v1/sign-in', { email, passphrase }, { key: null })).status;

  it('are replaced on a server that others can reach, with the sessions they opened', async () => {
    const who = await person(world, 'ada');
    const other = await person(world, 'changed it');
    const session = await clientOf(world, who);
    const told = (key: string, email: string, passphrase: string) => ({ key, name: key, email, passphrase });
    const published = { people: [told('a', who.email, PASSPHRASE), told('b', other.email, 'not hers any more')] };
    const fresh = withFreshPassphrases(published);
    expect(await replacePublished(world.application, published, fresh, world.clock.now())).toEqual([who.email]);
    expect(await signsIn(who.email, PASSPHRASE)).toBe(401);
    expect(await signsIn(who.email, fresh.people[0]?.passphrase ?? '')).toBe(200);
    expect(await signsIn(other.email, PASSPHRASE)).toBe(200);
    expect((await session.get('/v1/me')).status).toBe(401);
    expect(new Set(fresh.people.map(({ passphrase }) => passphrase)).size).toBe(2);
  });

  it('never come into books that are there: the demo is loaded into an empty database only', async () => {
    await person(world, 'keeper');
    const lines = await startDemo(world.application, { loadDemo: true, reachable: false }, CHECKOUT);
    expect(lines('http://localhost')).toEqual([]);
    const [first] = readScenario(CHECKOUT).people;
    expect(await signsIn(first?.email ?? '', first?.passphrase ?? '')).toBe(401);
  });

  it.each([
    [{}, true, false],
    [{ HOST: '127.0.0.1' }, true, false],
    [{ HOST: '::1' }, true, false],
    [{ HOST: 'localhost' }, true, false],
    [{ HOST: '0.0.0.0' }, false, true],
    [{ HOST: '::' }, false, true],
    [{ HOST: '192.168.1.5' }, false, true],
    [{ HOST: 'ranch.example' }, false, true],
    [{ HOST: '0.0.0.0', RICKYARD_DEMO: 'load' }, true, true],
    [{ DATABASE_URL: 'postgresql://a:b@c/d' }, false, false],
  ])('with %j the demo is loaded: %s, and others can reach it: %s', (env, loadDemo, reachable) => {
    expect(readConfig(env, '/')).toMatchObject({ loadDemo, reachable });
  });
});
