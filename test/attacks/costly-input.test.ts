/* A body made to be costly to refuse: it is refused by its size, its shape or its first problems, in a small answer. */
import { type Operation, operationWith } from '../support/people.js';
import { openWorld, type World } from '../support/world.js';

interface Refusal {
  type: string;
  detail: string;
  errors: { pointer: string; code: string; allowed: string }[];
}

const KEYS_TRIED = 100_000;
const many = (count: number, entry: (at: number) => string): string =>
  Array.from({ length: count }, (_, at) => entry(at)).join(',');
const unknownKeys = (count: number): string => `{${many(count, (at) => `"k${at}":1`)}}`;

/** No refusal needs more than this to say what is wrong. */
const ANSWER_MOST = 40_000;
const PROBLEMS_MOST = 50;

describe('A costly body', () => {
  let world: World;
  let operation: Operation;
  beforeAll(async () => {
    world = await openWorld();
    operation = await operationWith(world, { roles: ['manager'] });
  });
  afterAll(async () => {
    await world.close();
  });

  const asStranger = (path: string, body: string) => world.anyone.post<Refusal>(path, body, { key: null });
  /** No herd of that id is needed: the body is read first. */
  const weighIn = (animals: string) =>
    operation.as.manager.post<Refusal>(operation.at(`/weigh-ins`), `{"scope":"animal","animals":${animals}}`);

  it.each([
    '/v1/sign-in',
    '/v1/token-refresh',
    '/v1/recovery-by-code',
    '/v1/recovery-by-token',
    '/v1/me/recovery-codes',
  ])('of 100,000 unknown keys is not even read at %s', async (path) => {
    const answer = await asStranger(path, unknownKeys(KEYS_TRIED));
    expect([answer.status, answer.body.type]).toEqual([413, '/problems/body-too-large']);
    expect(answer.body.detail).toMatch(/8,192 bytes/);
    expect(answer.text.length).toBeLessThan(2_000);
  });

  it('of unknown keys is refused by the first of them, and the rest are counted', async () => {
    const answer = await asStranger('/v1/sign-in', unknownKeys(180));
    expect(answer.status).toBe(400);
    expect(answer.body.errors).toHaveLength(PROBLEMS_MOST);
    expect(answer.body.detail).toMatch(/first 50/);
    expect(answer.text.length).toBeLessThan(ANSWER_MOST);
  });

  it('with an object of more fields than any has is refused by its count, wherever it lies', async () => {
    const answer = await weighIn(`[{"weight":${unknownKeys(50_000)}}]`);
    expect([answer.status, answer.body.type]).toEqual([400, '/problems/invalid-input']);
    expect(answer.body.errors).toMatchObject([
      { pointer: '#/animals/0/weight', code: 'too-many-fields', allowed: 'at most 200 fields' },
    ]);
  });

  it.each([
    ['empty objects', '{}'],
    ['texts', '"x"'],
    ['lists', '[]'],
    ['objects of unknown fields', '{"a":1,"b":2,"c":3}'],
  ])('of a list of 5,000 %s is refused by the first of them', async (_, entry) => {
    const answer = await weighIn(`[${many(5_000, () => entry)}]`);
    expect(answer.status).toBe(400);
    expect(answer.body.errors.length).toBeLessThanOrEqual(PROBLEMS_MOST);
    expect(answer.text.length).toBeLessThan(ANSWER_MOST);
  });

  it('of a list longer than it may be is refused by its length, whatever is in it', async () => {
    const answer = await weighIn(`[${many(100_000, () => '{}')}]`);
    expect(answer.body.errors.filter(({ pointer }) => pointer.startsWith('#/animals'))).toMatchObject([
      { pointer: '#/animals', code: 'too-big', allowed: 'at most 5000 items' },
    ]);
  });
});
