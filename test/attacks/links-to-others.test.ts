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

it('what another ranch entered, a lot, or nothing at all is corrected by no entry', async () => {
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
});

interface Answered {
  id: string;
  errors?: { pointer?: string; code: string; message?: string }[];
}
const reverse = (at: string, id: string) =>
  ours.as.manager.post(`${at}/${id}/reversal`, { reason: 'Mistaken' }, { expect: 201 });

it('an entry is corrected by one that stands: not twice, nor at once; again once that was reversed', async () => {
  const { lotId } = await bought(ours);
  const sales = ours.at('/hay-sales');
  const sold = { ...SALE, hayLotId: lotId };
  const correct = (correctsId: string) => ours.as.manager.post<Answered>(sales, { ...sold, correctsId });
  const { id: wrong } = (await ours.as.manager.post<Answered>(sales, sold, { expect: 201 })).body;
  await reverse(sales, wrong);
  const atOnce = await Promise.all([1, 2, 3].map(() => correct(wrong)));
  expect(atOnce.map(({ status }) => status).toSorted()).toEqual([201, 409, 409]);
  const refused = await correct(wrong);
  expect(refused.body.errors?.[0]).toMatchObject({ pointer: '#/correctsId', code: 'corrected-already' });
  const first = atOnce.find(({ status }) => status === 201)?.body.id ?? '';
  await reverse(sales, first);
  // The correction may be corrected in its turn, once.
  expect([(await correct(first)).status, (await correct(first)).status]).toEqual([201, 409]);
  expect([(await correct(wrong)).status, (await correct(wrong)).status]).toEqual([201, 409]);
});

it('a feeding put in the place of a purchase takes nothing from the correction of that purchase', async () => {
  const ranchId = await ranch(ours);
  const { lotId, purchaseId } = await bought(ours);
  const fed = feedingBody(await herd(ours, ranchId), [[lotId, '200']]);
  const refused = await ours.as.hand.post<Answered>(ours.at('/feedings'), { ...fed, correctsId: purchaseId });
  expect([refused.status, refused.body.errors?.[0]]).toEqual([
    422,
    expect.objectContaining({ pointer: '#/correctsId', code: 'another-kind', given: purchaseId }),
  ]);
  const entry = purchaseBody(ranchId, { lot: { id: lotId } });
  const correction = { reason: 'Another weight', entry };
  await ours.as.manager.post(ours.at(`/hay-purchases/${purchaseId}/correction`), correction, { expect: 201 });
  // It was corrected; it is still no feeding.
  const later = await ours.as.hand.post<Answered>(ours.at('/feedings'), { ...fed, correctsId: purchaseId });
  expect([later.status, later.body.errors?.[0]?.code]).toEqual([422, 'another-kind']);
});

it('a ticket that stands is not entered twice by saying that the second one corrects it', async () => {
  const ranchId = await ranch(ours);
  const ticket = (lotName: string) =>
    purchaseBody(ranchId, {
      lot: { name: lotName, ranchId, hayKind: 'meadow', baleForm: 'round', storageMethod: 'tarp' },
      ticketNumber: 'T-4711',
    });
  const at = ours.at('/hay-purchases');
  const { id } = (await ours.as.manager.post<Answered>(at, ticket('Once'), { expect: 201 })).body;
  const { status, body } = await ours.as.manager.post<Answered>(at, { ...ticket('Twice'), correctsId: id });
  expect([status, body.errors]).toEqual([
    422,
    [
      {
        pointer: '#/correctsId',
        code: 'still-stands',
        given: id,
        allowed: 'a hay purchase that was reversed',
        message:
          `The hay purchase ${id} still stands. Correct it in one call: POST /hay-purchases/${id}/correction; or ` +
          'reverse it first.',
      },
    ],
  ]);
  await reverse(at, id);
  expect((await ours.as.manager.post(at, { ...ticket('Again'), correctsId: id })).status).toBe(201);
});

it('the database itself keeps no link to what stands or is of another kind', async () => {
  const { lotId, purchaseId } = await bought(ours);
  const sold = { ...SALE, hayLotId: lotId };
  const { id } = (await ours.as.manager.post<Answered>(ours.at('/hay-sales'), sold, { expect: 201 })).body;
  const other = (await ours.as.manager.post<Answered>(ours.at('/hay-sales'), sold, { expect: 201 })).body.id;
  for (const named of [purchaseId, other])
    await expect(
      world.ownerPool.query(
        'INSERT INTO entry_correction (operation_id, subject_id, subject_kind, corrects_id) ' +
          "SELECT operation_id, id, 'hay-sale', $2 FROM hay_sale WHERE id = $1",
        [id, named],
      ),
    ).rejects.toMatchObject({ code: 'RY007' });
});

it('both sides of a move correct one entry, once', async () => {
  const ranchId = await ranch(ours);
  const [from, to] = [await herd(ours, ranchId), await herd(ours, ranchId)];
  const at = ours.at(`/herds/${from}/head-changes`);
  const left = { kind: 'out', head: 1, happenedOn: '2026-12-20' };
  const { id } = (await ours.as.manager.post<{ id: string }>(at, left, { expect: 201 })).body;
  await reverse(at, id);
  const moved = { kind: 'move', head: 1, toHerdId: to, happenedOn: '2026-12-20', correctsId: id };
  expect([(await ours.as.manager.post(at, moved)).status, (await ours.as.manager.post(at, moved)).status]).toEqual([
    201, 409,
  ]);
});

interface Described {
  paths: Record<string, Record<string, { requestBody?: { content: Record<string, { schema: { $ref?: string } }> } }>>;
  components: { schemas: Record<string, { properties?: object }> };
}

it('every address that asks what an entry corrects takes one of its own kind that was reversed', async () => {
  const ranchId = await ranch(ours);
  const { lotId, purchaseId } = await bought(ours);
  const herdId = await herd(ours, ranchId);
  let lots = 0;
  const newLot = () => {
    lots += 1;
    return { name: `Own ${lots}`, ranchId, hayKind: 'meadow', baleForm: 'round', storageMethod: 'tarp' };
  };
  const bodies: Record<string, () => object> = {
    feedings: () => feedingBody(herdId, [[lotId, '200']]),
    harvests: () => ({
      harvestedOn: '2026-07-10',
      lot: newLot(),
      weight: net('12'),
      cost: { basis: 'lump-sum', amount: '900' },
    }),
    'hay-purchases': () => purchaseBody(ranchId, { lot: newLot() }),
    'hay-quotes/{hayQuoteId}/purchase': () => ({
      purchasedOn: '2027-01-12',
      lot: { name: newLot().name, ranchId, storageMethod: 'under-roof' },
    }),
    'hay-sales': () => ({ ...SALE, hayLotId: lotId }),
    'hay-transfers': () => ({
      fromLotId: lotId,
      to: { name: newLot().name, ranchId },
      movedOn: '2026-12-01',
      quantity: tons('1'),
    }),
    'herd-costs': () => ({ herdId, kind: 'other', happenedOn: '2026-12-20', payee: 'A neighbor', amount: '12' }),
    'herds/{herdId}/head-changes': () => ({ kind: 'out', head: 1, happenedOn: '2026-12-20' }),
    'late-costs': () => ({
      receipt: { kind: 'hay-purchase', id: purchaseId },
      billedOn: '2026-12-20',
      owed: 'freight',
      biller: 'A hauler',
      amount: '300',
    }),
    'stock-counts': () => ({
      hayLotId: lotId,
      countedOn: '2027-01-10',
      counted: tons('7'),
      reason: 'Counted the stack',
    }),
    'storage-shrinks': () => ({
      hayLotId: lotId,
      lostOn: '2027-01-11',
      how: { basis: 'weighed', quantity: tons('0.5') },
    }),
  };
  expect(Object.keys(bodies)).toEqual(askingWhatIsCorrected());
  const head = { kind: 'in', head: 1, happenedOn: '2026-12-20' };
  const { id: came } = (await ours.as.owner.post<Answered>(ours.at(`/herds/${herdId}/head-changes`), head)).body;
  const answers: unknown[] = [];
  for (const [of, body] of Object.entries(bodies)) {
    const address = async (): Promise<string> =>
      ours.at(`/${of.replace('{hayQuoteId}', (await quote(ours)).id).replace('{herdId}', herdId)}`);
    const tried = async (correctsId: string): Promise<string | number> => {
      const { status, body: said } = await ours.as.owner.post<Answered>(await address(), { ...body(), correctsId });
      return status === 201 ? status : (said.errors?.[0]?.code ?? status);
    };
    const { id } = (await ours.as.owner.post<Answered>(await address(), body(), { expect: 201 })).body;
    const known = [await tried(lotId), await tried(of.includes('purchase') ? came : purchaseId), await tried(id)];
    await reverse(of.startsWith('hay-quotes') ? ours.at('/hay-purchases') : await address(), id);
    answers.push([of, ...known, await tried(id)]);
  }
  expect(answers).toEqual(Object.keys(bodies).map((of) => [of, 'not-a-record', 'another-kind', 'still-stands', 201]));
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
