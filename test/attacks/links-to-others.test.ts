/* An entry may say which earlier one it corrects: an entry of the same books, and nothing else that has an id. */
import { readFileSync } from 'node:fs';
import path from 'node:path';
import { newId } from '../../src/platform/identifiers.js';
import { net, quote, tons } from '../support/books.js';
import { type Operation, operationWith } from '../support/people.js';
import { feedingBody, herd, lot, purchaseBody, ranch } from '../support/things.js';
import { openWorld, type World } from '../support/world.js';

let world: World;
let ours: Operation;
let theirs: Operation;
beforeAll(async () => {
  world = await openWorld();
  [ours, theirs] = [await operationWith(world), await operationWith(world)];
});
afterAll(() => world.close());

const SALE = {
  buyer: 'A neighbor',
  soldOn: '2026-12-05',
  quantity: { weight: { value: '1', unit: 'ton' } },
  price: { basis: 'per-mass', amount: '200', per: 'ton' },
};
const bought = async (of: Operation) =>
  lot(of, await ranch(of), { name: 'Meadow', tons: '10', price: { basis: 'lump-sum', amount: '900' } });

it('what another ranch entered, a lot, or nothing at all is corrected by no entry; an own entry is', async () => {
  const [mine, other] = [await bought(ours), await bought(theirs)];
  const before = (await ours.as.manager.get<{ items: object[] }>(ours.at('/hay-sales'))).body.items;
  for (const correctsId of [other.purchaseId, mine.lotId, newId()]) {
    const { status, body } = await ours.as.manager.post<{ errors?: { pointer: string; code: string }[] }>(
      ours.at('/hay-sales'),
      { ...SALE, hayLotId: mine.lotId, correctsId },
    );
    expect([status, body.errors?.[0]]).toEqual([
      422,
      expect.objectContaining({ pointer: '#/correctsId', code: 'not-a-record' }),
    ]);
  }
  expect((await ours.as.manager.get<{ items: object[] }>(ours.at('/hay-sales'))).body.items).toEqual(before);
  await ours.as.manager.post(
    ours.at('/hay-sales'),
    { ...SALE, hayLotId: mine.lotId, correctsId: mine.purchaseId },
    { expect: 201 },
  );
});

it('an entry is corrected by one that stands: not twice, nor at once; again once that was reversed', async () => {
  const { lotId, purchaseId } = await bought(ours);
  const correct = (correctsId: string) =>
    ours.as.manager.post<{ id: string; errors?: { pointer: string; code: string }[] }>(ours.at('/hay-sales'), {
      ...SALE,
      hayLotId: lotId,
      correctsId,
    });
  const atOnce = await Promise.all([1, 2, 3].map(() => correct(purchaseId)));
  expect(atOnce.map(({ status }) => status).toSorted()).toEqual([201, 409, 409]);
  const refused = await correct(purchaseId);
  expect(refused.body.errors?.[0]).toMatchObject({ pointer: '#/correctsId', code: 'corrected-already' });
  const first = atOnce.find(({ status }) => status === 201)?.body.id ?? '';
  // The correction may be corrected in its turn, once.
  expect([(await correct(first)).status, (await correct(first)).status]).toEqual([201, 409]);
  await ours.as.manager.post(ours.at(`/hay-sales/${first}/reversal`), { reason: 'Wrong too' }, { expect: 201 });
  expect([(await correct(purchaseId)).status, (await correct(purchaseId)).status]).toEqual([201, 409]);
});

it('both sides of a move correct one entry, once', async () => {
  const ranchId = await ranch(ours);
  const [from, to] = [await herd(ours, ranchId), await herd(ours, ranchId)];
  const at = ours.at(`/herds/${from}/head-changes`);
  const left = { kind: 'out', head: 1, happenedOn: '2026-12-20' };
  const { id } = (await ours.as.manager.post<{ id: string }>(at, left, { expect: 201 })).body;
  const moved = { kind: 'move', head: 1, toHerdId: to, happenedOn: '2026-12-20', correctsId: id };
  expect([(await ours.as.manager.post(at, moved)).status, (await ours.as.manager.post(at, moved)).status]).toEqual([
    201, 409,
  ]);
});

interface Described {
  paths: Record<string, Record<string, { requestBody?: { content: Record<string, { schema: { $ref?: string } }> } }>>;
  components: { schemas: Record<string, { properties?: object }> };
}

it('every address that asks what an entry corrects refuses what is none, and takes what is one', async () => {
  const ranchId = await ranch(ours);
  const { lotId, purchaseId } = await bought(ours);
  // One of its own for each: an entry is corrected once.
  const mistaken = async (): Promise<string> => (await bought(ours)).purchaseId;
  const herdId = await herd(ours, ranchId);
  const offered = (await quote(ours)).id;
  const lotOf = (name: string) => ({ name, ranchId, hayKind: 'meadow', baleForm: 'round', storageMethod: 'tarp' });
  const bodies: Record<string, object> = {
    feedings: feedingBody(herdId, [[lotId, '200']]),
    harvests: {
      harvestedOn: '2026-07-10',
      lot: lotOf('Own'),
      weight: net('12'),
      cost: { basis: 'lump-sum', amount: '900' },
    },
    'hay-purchases': purchaseBody(ranchId, { lot: lotOf('Another') }),
    'hay-quotes/{hayQuoteId}/purchase': { purchasedOn: '2027-01-12', lot: { ranchId, storageMethod: 'under-roof' } },
    'hay-sales': { ...SALE, hayLotId: lotId },
    'hay-transfers': { fromLotId: lotId, to: { name: 'Hauled', ranchId }, movedOn: '2026-12-01', quantity: tons('1') },
    'herd-costs': { herdId, kind: 'other', happenedOn: '2026-12-20', payee: 'A neighbor', amount: '12' },
    'herds/{herdId}/head-changes': { kind: 'out', head: 1, happenedOn: '2026-12-20' },
    'late-costs': {
      receipt: { kind: 'hay-purchase', id: purchaseId },
      billedOn: '2026-12-20',
      owed: 'freight',
      biller: 'A hauler',
      amount: '300',
    },
    'stock-counts': { hayLotId: lotId, countedOn: '2027-01-10', counted: tons('7'), reason: 'Counted the stack' },
    'storage-shrinks': { hayLotId: lotId, lostOn: '2027-01-11', how: { basis: 'weighed', quantity: tons('0.5') } },
  };
  expect(Object.keys(bodies)).toEqual(askingWhatIsCorrected());
  const answers: [string, ...unknown[]][] = [];
  for (const [of, body] of Object.entries(bodies)) {
    const at = ours.at(`/${of.replace('{hayQuoteId}', offered).replace('{herdId}', herdId)}`);
    const refused = await ours.as.owner.post<{ errors?: { code: string }[] }>(at, { ...body, correctsId: lotId });
    const { status } = await ours.as.owner.post(at, { ...body, correctsId: await mistaken() });
    answers.push([of, refused.status, refused.body.errors?.[0]?.code, status]);
  }
  expect(answers).toEqual(Object.keys(bodies).map((of) => [of, 422, 'not-a-record', 201]));
});

/** From the description: what stands behind the operation in the addresses of such bodies. */
function askingWhatIsCorrected(): string[] {
  const file = path.join(__dirname, '..', 'snapshots', 'openapi.json');
  const { paths, components } = JSON.parse(readFileSync(file, 'utf8')) as Described;
  return Object.entries(paths)
    .filter(([, { post }]) => {
      const name = post?.requestBody?.content['application/json']?.schema.$ref?.split('/').at(-1) ?? '';
      return 'correctsId' in (components.schemas[name]?.properties ?? {});
    })
    .map(([at]) => at.replace('/v1/operations/{operationId}/', ''));
}
