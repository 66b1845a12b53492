/*
 * Every address, as a stranger and as each role: the words of the answers. (That they are closed to nobody:
 * test/catalogue/matrix.) The list of addresses is the program's own, so that the next one is tested without anybody
 * thinking of it. What each role may do is written down in test/snapshots/access-matrix.json, to be read in a review.
 */
import { mayAct } from '../../src/platform/roles/roles.data.js';
import { type AnyEndpoint, ENDPOINTS } from '../../src/platform/http/endpoint.js';
import { newId } from '../../src/platform/identifiers.js';
import { clientOf, type Operation, operationWith, person, ROLES } from '../support/people.js';
import { snapshot } from '../support/snapshot.js';
import { aWinterIn, type Winter } from '../support/winter.js';
import { openWorld, type World } from '../support/world.js';

let world: World;
let operation: Operation;
let winter: Winter;
beforeAll(async () => {
  world = await openWorld();
  operation = await operationWith(world);
  winter = await aWinterIn(operation);
});
afterAll(async () => {
  await world.close();
});

const inOperations = (): AnyEndpoint[] => ENDPOINTS.filter((one) => one.path.includes(':operationId'));
/** The address with an operation and made-up ids for everything else. */
const addressOf = (one: AnyEndpoint, operationId: string): string =>
  one.path.replace(':operationId', operationId).replaceAll(/:[A-Za-z]+/g, () => newId());
const call = (client: World['anyone'], one: AnyEndpoint, address: string) =>
  client.send(one.method, address, one.body === undefined ? undefined : {}, {
    headers: { 'Idempotency-Key': newId(), 'If-Match': '"1-AAAAAAAAAAAAAAAA"' },
  });

describe('addresses inside an operation', () => {
  it('do not exist for a stranger, in the very words of an operation that never was', async () => {
    expect(inOperations().length).toBeGreaterThan(30);
    const stranger = await clientOf(world, await person(world, 'stranger'));
    for (const one of inOperations()) {
      const real = await call(stranger, one, addressOf(one, operation.id));
      const never = await call(stranger, one, addressOf(one, newId()));
      const shape = (body: Record<string, unknown>): object => ({ ...body, instance: '', requestId: '' });
      expect({ of: one.operationId, status: real.status, body: shape(real.body) }).toEqual({
        of: one.operationId,
        status: 404,
        body: shape(never.body),
      });
    }
  });

  it.each(ROLES)('let a %s do what the role may, and name the permission otherwise', async (role) => {
    const client = await clientOf(world, operation.people[role]);
    for (const [route, one] of inOperations().entries()) {
      // What a role may do, test/catalogue/matrix asks of each; here one role in turn.
      if (mayAct(role, role !== 'hand', null, one.access as 'read') && route % ROLES.length !== ROLES.indexOf(role))
        continue;
      const answer = await call(client, one, addressOf(one, operation.id));
      const allowed = mayAct(role, role !== 'hand', null, one.access as 'read');
      if (allowed)
        expect({ of: one.operationId, refused: answer.status === 403 || answer.status === 401 }).toEqual({
          of: one.operationId,
          refused: false,
        });
      else
        expect({ of: one.operationId, status: answer.status, detail: answer.body['detail'] }).toEqual({
          of: one.operationId,
          status: 403,
          detail: `This needs the permission "${one.access}" in this operation.`,
        });
    }
  });

  it('are a matrix that somebody has read', () => {
    const rows = ENDPOINTS.map((one): [string, string] => [
      `${one.method} ${one.path}`,
      one.access === 'public' || one.access === 'signed-in'
        ? one.access
        : ROLES.filter((role) => mayAct(role, role !== 'hand', null, one.access as 'read')).join(', '),
    ]);
    const matrix = Object.fromEntries(rows.sort(([a], [b]) => (a < b ? -1 : 1)));
    snapshot('access-matrix.json', `${JSON.stringify(matrix, null, 2)}\n`);
  });
});

describe('records of another operation', () => {
  it('are absent in the path: the same answer as for an id that never was', async () => {
    const neighbor = await operationWith(world, { roles: ['owner', 'manager'] });
    const own = await aWinterIn(neighbor);
    const kinds = [
      ['ranches', winter.ranchId, own.ranchId],
      ['herds', winter.herdId, own.herdId],
      ['hay-lots', winter.lots[0]?.lotId, own.lots[0]?.lotId],
      ['hay-purchases', winter.lots[0]?.purchaseId, own.lots[0]?.purchaseId],
      ['feedings', winter.feedingId, own.feedingId],
      ['weigh-ins', winter.weighInId, own.weighInId],
      ['lab-tests', winter.labTestId, own.labTestId],
    ] as const;
    for (const [kind, theirs, ours] of kinds) {
      const foreign = await neighbor.as.manager.get(neighbor.at(`/${kind}/${theirs ?? ''}`));
      const absent = await neighbor.as.manager.get(neighbor.at(`/${kind}/${newId()}`));
      expect([kind, foreign.status, foreign.body['detail']]).toEqual([kind, 404, absent.body['detail']]);
      expect([kind, (await neighbor.as.manager.get(neighbor.at(`/${kind}/${ours ?? ''}`))).status]).toEqual([
        kind,
        200,
      ]);
    }
  });

  it('are absent in a body too', async () => {
    const neighbor = await operationWith(world, { roles: ['owner', 'manager'] });
    const own = await aWinterIn(neighbor);
    const lotId = winter.lots[0]?.lotId ?? '';
    const { manager } = neighbor.as;
    const bodies = (ids: { ranchId: string; herdId: string; lotId: string }) => [
      manager.post(neighbor.at('/herds'), {
        name: 'H',
        ranchId: ids.ranchId,
        cattleClass: 'bull',
        sex: 'bull',
        bodyWeight: { value: '900', unit: 'kg' },
      }),
      manager.post(neighbor.at('/places'), { name: 'P', ranchId: ids.ranchId, kind: 'pen' }),
      manager.post(neighbor.at('/hay-purchases'), {
        vendor: 'V',
        purchasedOn: '2026-11-01',
        lot: { id: ids.lotId },
        weight: { basis: 'net', net: { value: '1', unit: 'ton' } },
        price: { basis: 'lump-sum', amount: '1' },
      }),
      manager.post(neighbor.at('/lab-tests'), {
        hayLotId: ids.lotId,
        lab: 'L',
        sampledOn: '2026-11-05',
        method: 'near-infrared',
        basis: 'dry-matter',
        analysis: { dryMatter: { value: '88', unit: '%' } },
      }),
      manager.post(neighbor.at('/feedings'), {
        herdId: ids.herdId,
        fedOn: '2027-01-10',
        method: 'bunk',
        layers: [{ role: 'coarse', parts: [{ hayLotId: own.lots[0]?.lotId, weight: { value: '1', unit: 'lb' } }] }],
      }),
      manager.post(neighbor.at('/feedings'), {
        herdId: own.herdId,
        fedOn: '2027-01-10',
        method: 'bunk',
        layers: [{ role: 'coarse', parts: [{ hayLotId: ids.lotId, weight: { value: '1', unit: 'lb' } }] }],
      }),
      manager.post(neighbor.at('/weigh-ins'), {
        scope: 'group',
        herdId: ids.herdId,
        weighedOn: '2027-01-12',
        fill: 'full',
        head: 1,
        measure: 'mean',
        weight: { value: '1', unit: 'kg' },
      }),
      manager.post(neighbor.at(`/herds/${own.herdId}/head-changes`), {
        kind: 'move',
        head: 1,
        happenedOn: '2027-01-12',
        toHerdId: ids.herdId,
      }),
    ];
    const foreign = await Promise.all(bodies({ ranchId: winter.ranchId, herdId: winter.herdId, lotId }));
    const absent = await Promise.all(bodies({ ranchId: newId(), herdId: newId(), lotId: newId() }));
    expect(foreign.map((answer) => answer.status)).toEqual(foreign.map(() => 404));
    expect(foreign.map((answer) => answer.body['detail'])).toEqual(absent.map((answer) => answer.body['detail']));
  });

  it('are not reached through a smuggled operation in the body or the query', async () => {
    const neighbor = await operationWith(world, { roles: ['owner', 'manager'] });
    for (const field of ['operationId', 'operation_id', 'recordedBy', 'id', 'version']) {
      const answer = await neighbor.as.manager.post(neighbor.at('/ranches'), {
        name: 'Smuggler',
        [field]: operation.id,
      });
      expect(answer.body).toMatchObject({ status: 400, errors: [{ pointer: `#/${field}`, code: 'unknown-field' }] });
    }
    expect(
      (await neighbor.as.manager.get(neighbor.at('/ranches'), { query: { operationId: operation.id } })).status,
    ).toBe(400);
  });
});

describe('money', () => {
  it('is absent for a hand, and there for those who see prices', async () => {
    const purchase = operation.at(`/hay-purchases/${winter.lots[0]?.purchaseId ?? ''}`);
    const money = ['price', 'hayCost', 'freight', 'landedCost', 'landedPrice'];
    const hand = await operation.as.hand.get(purchase, { expect: 200 });
    const accountant = await operation.as.accountant.get(purchase, { expect: 200 });
    for (const field of money) {
      expect([field, hand.body[field]]).toEqual([field, null]);
      expect([field, accountant.body[field] === null]).toEqual([field, false]);
    }
    expect(hand.text).not.toMatch(/"amount"|USD/);
  });
});
