import { feedingBody } from '../../support/things.js';
import { lb, pounds, tons } from './measures.js';
import type { Ids, Writer } from './writer.js';

/** Hay budgets kept and asked in passing. */
export async function budgets(writer: Writer, { cowsId, calvesId }: Ids): Promise<void> {
  const { accountant, manager } = writer.who;
  const plan = {
    name: 'Winter 2026-27',
    from: '2026-11-26',
    until: '2027-04-30',
    herds: [
      {
        herdId: cowsId,
        intake: { basis: 'stated', dryMatter: lb('24') },
        waste: { basis: 'stated', percent: '12' },
      },
      { herdId: calvesId, waste: { basis: 'stated', percent: '8' } },
    ],
  };
  const made = await writer.round(manager, '/hay-budget-plans', plan, { reverse: false });
  const [cows, ...others] = plan.herds;
  const predicted = { ...plan, herds: [{ herdId: cows?.herdId, waste: cows?.waste }, ...others] };
  await writer.post(manager, '/hay-budget-plans', predicted, { as: 'whose intake cannot be predicted', expect: 422 });
  const what = {
    changes: [
      { name: 'Cone feeders', wastePercent: '5' },
      { name: 'Fewer head', headTimes: '0.9', herdIds: [cowsId] },
      { name: 'Dearer hay', priceTimes: '1.2' },
    ],
  };
  await writer.post(
    manager,
    '/hay-budget-what-ifs',
    { planId: made.id, ...what },
    { as: 'of a plan', key: null, expect: 200 },
  );
  await writer.post(
    accountant,
    '/hay-budget-what-ifs',
    { plan: { from: plan.from, until: plan.until, herds: plan.herds }, ...what },
    { as: 'of its own', key: null },
  );
  await writer.post(manager, '/hay-budget-what-ifs', {}, { as: 'of nothing', key: null });
}

/** The names of the accounts. */
export async function accountMap(writer: Writer): Promise<void> {
  const { owner } = writer.who;
  const map = await writer.look('/account-map', owner);
  const accounts = { accounts: [{ role: 'hay-inventory', number: '1410', name: 'Hay and straw' }] };
  await writer.put(owner, '/account-map', accounts, { ifMatch: map.etag, expect: 200 });
  await writer.put(owner, '/account-map', accounts, {
    as: 'changed meanwhile',
    ifMatch: map.etag,
    expect: 412,
  });
  await writer.put(
    owner,
    '/account-map',
    { accounts: [{ role: 'gold', number: '1', name: 'No' }] },
    { as: 'of a role that is none', ifMatch: map.etag, expect: 400 },
  );
}

/** Periods closed and opened again. */
export async function closings(writer: Writer, { cowsId }: Ids, lotId: string, purchaseId: string): Promise<void> {
  const { owner, accountant, manager } = writer.who;
  const closed = await writer.round(
    accountant,
    '/closings',
    { until: '2026-06-30', note: 'Half year' },
    { reverse: false },
  );
  await intoAClosedPeriod(writer, lotId, purchaseId);
  await writer.look(`/closings/${closed.id}/reports/trial-balance`, accountant);
  await writer.post(manager, `/closings/${closed.id}/reopening`, { reason: 'No' }, { as: 'by the manager' });
  await writer.post(accountant, `/closings/${closed.id}/reopening`, { reason: 'A late ticket' });
  await writer.post(owner, `/closings/${closed.id}/reopening`, { reason: 'A late ticket' }, { as: 'by the owner' });
  await writer.post(accountant, '/closings', { until: '2026-05-31' }, { as: 'of spring', expect: 201 });
  await writer.post(manager, '/feedings', feedingBody(cowsId, [[lotId, '300']], { fedOn: '2026-05-20' }), {
    as: 'into a closed period',
  });
  await writer.post(
    manager,
    '/stock-counts',
    { hayLotId: lotId, countedOn: '2026-06-02', counted: pounds('9000'), reason: 'Counted' },
    { as: 'after the closing' },
  );
}

async function intoAClosedPeriod(writer: Writer, lotId: string, purchaseId: string): Promise<void> {
  const { manager } = writer.who;
  const sale = {
    hayLotId: lotId,
    buyer: 'A neighbor',
    soldOn: '2026-06-20',
    quantity: tons('0.5'),
    price: { basis: 'lump-sum', amount: '70' },
  };
  await writer.post(manager, '/hay-sales', sale, { as: 'into a closed period' });
  await writer.post(
    manager,
    '/hay-sales',
    { ...sale, postTo: 'open-period' },
    { as: 'of a closed period, posted to the open one' },
  );
  await writer.post(
    manager,
    '/late-costs',
    {
      receipt: { kind: 'hay-purchase', id: purchaseId },
      billedOn: '2026-06-01',
      owed: 'freight',
      biller: 'A hauler',
      amount: '80',
      postTo: 'open-period',
    },
    { as: 'of a closed period' },
  );
  await writer.post(
    manager,
    `/hay-purchases/${purchaseId}/reversal`,
    { reason: 'Of a closed period' },
    { as: 'of a closed period' },
  );
}
