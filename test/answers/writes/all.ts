import * as accounts from './accounts.js';
import * as books from './books.js';
import { herds, weighIns } from './cattle.js';
import { feedings, sheetConfirmations } from './feedings.js';
import * as papers from './hay-papers.js';
import { harvests, purchases } from './hay-receipts.js';
import * as stock from './hay-stock.js';
import { files, scaleWeights } from './imports.js';
import * as people from './people.js';
import { rations } from './rations.js';
import { trials } from './trials.js';
import { type Ids, NOTHING, type Writer } from './writer.js';
import { yard } from './yard.js';

/** A year's entries: each kind is written, repeated, reversed and refused. */
export async function everythingWritten(writer: Writer): Promise<void> {
  const ids = await idsOf(writer);
  await yard(writer, ids);
  const { lotId, purchaseId } = await hay(writer, ids);
  await feedings(writer, ids, lotId);
  await sheetConfirmations(writer, ids);
  await weighIns(writer, ids, await herds(writer, ids));
  await rations(writer, ids);
  await trials(writer, ids);
  await files(writer);
  await scaleWeights(writer, ids);
  await books.budgets(writer, ids);
  await books.accountMap(writer);
  await books.closings(writer, ids, lotId, purchaseId);
  await people.secondLooks(writer);
  await people.keys(writer);
  await people.invitations(writer);
  await people.memberships(writer);
  await people.engagements(writer);
  await accounts.sessions(writer);
  await accounts.secrets(writer);
  await accounts.operations(writer);
  await accounts.deletion(writer);
}

async function hay(writer: Writer, ids: Ids): Promise<{ lotId: string; purchaseId: string }> {
  const { lotId, purchaseId } = await purchases(writer, ids);
  const ownId = await harvests(writer, ids);
  await stock.sales(writer, ownId);
  await stock.transfers(writer, ids, ownId);
  await stock.countsAndLosses(writer, ownId);
  await papers.lateCosts(writer, purchaseId);
  await papers.quotes(writer, ids);
  await papers.labTests(writer, lotId);
  return { lotId, purchaseId };
}

/** What the demo's operation has, by its names. */
async function idsOf(writer: Writer): Promise<Ids> {
  const list = async (at: string): Promise<{ id: string; name: string }[]> =>
    (await writer.look(`${at}?limit=200`)).body['items'] as { id: string; name: string }[];
  const find = (items: { id: string; name: string }[], name: string): string =>
    items.find((one) => one.name === name)?.id ?? NOTHING;
  const [ranches, herds, lots, places] = [
    await list('/ranches'),
    await list('/herds'),
    await list('/hay-lots'),
    await list('/places'),
  ];
  return {
    ranchId: find(ranches, 'Bench Ranch'),
    cowsId: find(herds, 'Spring-calving cows'),
    calvesId: find(herds, 'Weaned steer calves'),
    strawId: find(lots, 'Barley straw'),
    alfalfaId: find(lots, 'Alfalfa, second cutting'),
    meadowId: find(lots, 'Meadow rounds'),
    placeId: find(places, 'Cow windrow'),
    bunkId: find(places, 'Calf bunk'),
  };
}
