/*
 * Hay is fed by the name of its lot, so two lots of one name on a ranch, both with hay, are mistaken for each other.
 * Next winter's hay may have the name of this winter's once that is fed. Everything here is invented.
 */
import { type Operation, operationWith } from '../support/people.js';
import { feeding, herd, lot, type LotAnswer, purchaseBody, ranch } from '../support/things.js';
import { openWorld, type World } from '../support/world.js';

let world: World;
let operation: Operation;
let ranchId: string;
beforeAll(async () => {
  world = await openWorld();
});
beforeEach(async () => {
  operation = await operationWith(world, { roles: ['owner', 'manager', 'hand'] });
  ranchId = await ranch(operation);
});
afterAll(async () => {
  await world.close();
});

const NAME = 'Meadow, 1st cutting';
const CSV = { headers: { 'Content-Type': 'text/csv' } };
interface Refused {
  type: string;
  detail: string;
  errors: { pointer: string; parameter?: string; code: string; given: string; allowed: string; message: string }[];
}
const described = (name: string, on = ranchId): object => ({
  name,
  ranchId: on,
  hayKind: 'meadow',
  baleForm: 'round',
  storageMethod: 'tarp',
});
const buy = (name: string, on = ranchId, key?: string) =>
  operation.as.manager.post<Refused>(
    operation.at('/hay-purchases'),
    purchaseBody(on, { lot: described(name, on) }),
    key === undefined ? {} : { key },
  );
const namedSo = async (name: string): Promise<LotAnswer[]> =>
  (
    await operation.as.manager.get<{ items: LotAnswer[] }>(operation.at('/hay-lots'), { expect: 200 })
  ).body.items.filter((one) => one['name'] === name);

const empty = async (lotId: string, pounds: string): Promise<void> => {
  const herdId = await herd(operation, ranchId, { name: `Eaters of ${lotId}`, head: 2000, since: '2026-10-01' });
  await feeding(operation, herdId, [[lotId, pounds]], { fedOn: '2026-12-01' });
};

describe('a lot of the name of another that still has hay', () => {
  it.each([NAME, 'MEADOW, 1ST CUTTING', '  Meadow,  1st   cutting '])('"%s" is refused', async (again) => {
    const { lotId } = await lot(operation, ranchId, { name: NAME, tons: '24', purchasedOn: '2026-11-03' });
    const refused = await buy(again);
    expect(refused).toMatchObject({
      status: 409,
      body: { type: '/problems/lot-name-in-use', errors: [{ pointer: '#/lot/name', code: 'lot-name-in-use' }] },
    });
    // Which one it is, when it came, what is left, and the ways out.
    for (const told of [lotId, '2026-11-03', '24 ton', 'by its id', 'name of its own', 'empty'])
      expect(refused.body.detail).toContain(told);
    expect(await namedSo(NAME)).toHaveLength(1);
  });

  it('is refused however it begins: harvested, hauled, taken from an offer, renamed', async () => {
    await lot(operation, ranchId, { name: NAME });
    const other = await lot(operation, ranchId, { name: 'Bench', tons: '10' });
    const manager = operation.as.manager;
    const harvest = await manager.post<Refused>(operation.at('/harvests'), {
      lot: described(NAME),
      harvestedOn: '2026-07-20',
      weight: { basis: 'net', net: { value: '20', unit: 'ton' } },
      cost: { basis: 'per-mass', amount: '90', per: 'ton' },
    });
    const hauled = await manager.post<Refused>(operation.at('/hay-transfers'), {
      fromLotId: other.lotId,
      to: { name: NAME, ranchId },
      movedOn: '2026-11-20',
      quantity: { weight: { value: '2', unit: 'ton' } },
    });
    const offer = await manager.post<{ id: string }>(
      operation.at('/hay-quotes'),
      {
        vendor: 'A neighbor',
        offeredOn: '2026-11-10',
        name: NAME,
        hayKind: 'meadow',
        baleForm: 'round',
        weight: { basis: 'net', net: { value: '20', unit: 'ton' } },
        price: { basis: 'per-mass', amount: '140', per: 'ton' },
      },
      { expect: 201 },
    );
    const taken = await manager.post<Refused>(operation.at(`/hay-quotes/${offer.body.id}/purchase`), {
      purchasedOn: '2026-11-20',
      lot: { ranchId, storageMethod: 'tarp' },
    });
    const read = await manager.get(operation.at(`/hay-lots/${other.lotId}`), { expect: 200 });
    const renamed = await manager.patch<Refused>(
      operation.at(`/hay-lots/${other.lotId}`),
      { name: NAME.toUpperCase() },
      { headers: { 'If-Match': read.headers['etag'] as string } },
    );
    for (const [answer, pointer] of [
      [harvest, '#/lot/name'],
      [hauled, '#/to/name'],
      [taken, '#/lot/name'],
      [renamed, '#/name'],
    ] as const)
      expect(answer).toMatchObject({
        status: 409,
        body: { type: '/problems/lot-name-in-use', errors: [{ pointer, code: 'lot-name-in-use' }] },
      });
    expect(await namedSo(NAME)).toHaveLength(1);
    expect(await namedSo('Bench')).toHaveLength(1);
  });

  it('on another ranch is another lot; so is one that was hauled on as a whole, and a name written anew', async () => {
    const { lotId } = await lot(operation, ranchId, { name: NAME, tons: '10' });
    const creek = await ranch(operation, { name: 'Creek ranch' });
    expect((await buy(NAME, creek)).status).toBe(201);
    await operation.as.manager.post(
      operation.at('/hay-transfers'),
      {
        fromLotId: lotId,
        to: { name: NAME, ranchId },
        movedOn: '2026-11-20',
        quantity: { weight: { value: '10', unit: 'ton' } },
      },
      { expect: 201 },
    );
    const [whole] = (await namedSo(NAME)).filter((one) => one.balance.value === '10' && one['ranchId'] === ranchId);
    const read = await operation.as.manager.get(operation.at(`/hay-lots/${whole?.id ?? ''}`), { expect: 200 });
    await operation.as.manager.patch(
      operation.at(`/hay-lots/${whole?.id ?? ''}`),
      { name: NAME.toLowerCase() },
      { headers: { 'If-Match': read.headers['etag'] as string }, expect: 200 },
    );
  });

  it('that is empty may be used again: next winter has its meadow too', async () => {
    const { lotId } = await lot(operation, ranchId, { name: NAME, tons: '1' });
    await empty(lotId, '2000');
    expect((await buy(NAME)).status).toBe(201);
    expect((await buy(NAME)).status).toBe(409);
  });

  it('whose entry was reversed is free', async () => {
    const { purchaseId } = await lot(operation, ranchId, { name: NAME });
    await operation.as.manager.post(
      operation.at(`/hay-purchases/${purchaseId}/reversal`),
      { reason: 'entered twice' },
      { expect: 201 },
    );
    expect((await buy(NAME)).status).toBe(201);
  });

  it('begun by many at once is begun once; repeated with its key it is done once', async () => {
    const answers = await Promise.all(Array.from({ length: 6 }, () => buy(NAME)));
    expect(answers.map((one) => one.status).sort()).toEqual([201, 409, 409, 409, 409, 409]);
    const first = await buy('Bench', ranchId, 'the-key-of-the-bench');
    const repeated = await buy('Bench', ranchId, 'the-key-of-the-bench');
    expect([first.status, repeated.status]).toEqual([201, 201]);
    expect(await namedSo('Bench')).toHaveLength(1);
  });
});

describe('a file', () => {
  const HEADER = 'vendor,purchased_on,lot,ranch,hay_kind,bale_form,storage_method,net_weight_lb,price_usd_per_ton';
  const FEEDINGS = 'feeding,herd,fed_on,method,role,lot,weight_lb';

  it('of tickets names a lot however it is written, and adds to it', async () => {
    await lot(operation, ranchId, { name: NAME, tons: '24' });
    await operation.as.manager.post(
      operation.at('/imports/hay-tickets'),
      `${HEADER}\nA neighbor,2026-11-10,"meadow,  1ST cutting",,,,,2000,150\n`,
      { ...CSV, expect: 201 },
    );
    expect((await namedSo(NAME)).map((one) => one.balance.value)).toEqual(['25']);
  });

  it('that names one of two lots is told when each came and what is left', async () => {
    const { lotId: fed } = await lot(operation, ranchId, { name: NAME, tons: '1', purchasedOn: '2026-11-02' });
    await empty(fed, '2000');
    const { lotId: full } = await lot(operation, ranchId, { name: NAME, tons: '24', purchasedOn: '2026-12-05' });
    await herd(operation, ranchId, { name: 'Calves' });
    const { body } = await operation.as.manager.post<Refused>(
      operation.at('/imports/feedings'),
      `${FEEDINGS}\n1,Calves,2027-01-05,bunk,coarse,"${NAME}",10\n`,
      { ...CSV, expect: 422 },
    );
    expect(body.errors).toMatchObject([{ parameter: 'row 2, column lot', code: 'name-not-unique' }]);
    expect(body.errors[0]?.allowed).toBe(
      `the id of one of them: ${fed} (came on 2026-11-02, 0 ton left), ${full} (came on 2026-12-05, 24 ton left)`,
    );
  });
});
