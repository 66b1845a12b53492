import { lb } from './measures.js';
import { type Body, type Ids, NOTHING, type Writer } from './writer.js';

interface TrialHerd {
  herdId: string;
  animals: { visualTag: string; weight: Body }[];
  weighInId: string;
}

interface Trial {
  /** The address of the trial. */
  at: string;
  /** Its tag of this moment. */
  tag: () => Promise<string>;
}

/** A trial from its plan to its closing. */
export async function trials(writer: Writer, ids: Ids): Promise<void> {
  const herd = await trialHerd(writer, ids);
  const trial = await planned(writer, herd.herdId);
  const assigned = await drawn(writer, trial, herd);
  const herds = await begun(writer, ids, trial, herd.herdId);
  await whileItRuns(writer, trial);
  await weighedAtTheEnd(writer, herd, herds, assigned);
  await judgedAndClosed(writer, trial);
}

async function trialHerd(writer: Writer, { ranchId }: Ids): Promise<TrialHerd> {
  const { hand, manager } = writer.who;
  const herd = await writer.post(
    manager,
    '/herds',
    { name: 'Recorded trial heifers', ranchId, cattleClass: 'growing-calf', sex: 'heifer', bodyWeight: lb('500') },
    { as: 'of a trial', expect: 201 },
  );
  await writer.post(
    manager,
    `/herds/${herd.id}/head-changes`,
    { kind: 'in', head: 20, happenedOn: '2026-09-01' },
    { as: 'of a trial', expect: 201 },
  );
  const animals = Array.from({ length: 20 }, (_, index) => ({
    visualTag: `W${String(index + 1).padStart(2, '0')}`,
    weight: lb(String(480 + ((index * 37) % 53))),
  }));
  const weighed = await writer.post(
    hand,
    '/weigh-ins',
    { scope: 'animal', herdId: herd.id, weighedOn: '2026-09-07', fill: 'full', animals },
    { as: 'of a trial', expect: 201 },
  );
  return { herdId: herd.id, animals, weighInId: weighed.id };
}

async function planned(writer: Writer, herdId: string): Promise<Trial> {
  const { nutritionist } = writer.who;
  const plan = {
    name: 'Rich hay under coarse',
    herdId,
    question: 'Do heifers gain more when rich hay is laid under coarse hay?',
    arms: [
      { name: 'usual', role: 'usual', feeding: 'Meadow hay in a ring' },
      { name: 'layered', role: 'change', feeding: 'Alfalfa under meadow hay' },
    ],
    unit: 'animal',
    unitsPerArm: 10,
    lengthDays: 30,
    worthwhileDifference: lb('0.25'),
    spread: { from: 'default' },
    classOfAnimals: 'weaned heifers',
    season: 'early fall',
    hay: 'meadow and alfalfa hay',
    herdHead: 200,
  };
  const trial = await writer.round(nutritionist, '/trials', plan, { reverse: false });
  const at = `/trials/${trial.id}`;
  await writer.change(nutritionist, at, { lengthDays: 32 });
  const tag = async (): Promise<string> => (await writer.look(at, nutritionist)).etag;
  return { at, tag };
}

interface Assigned {
  visualTag: string | null;
  armId: string;
}

async function drawn(writer: Writer, { at, tag }: Trial, { weighInId }: TrialHerd): Promise<Assigned[]> {
  const { manager, nutritionist } = writer.who;
  await writer.post(
    nutritionist,
    `${at}/beginning`,
    { beginsOn: '2026-09-10' },
    { as: 'without a draw', ifMatch: await tag(), expect: 409 },
  );
  await writer.post(nutritionist, `${at}/draws`, { weighInIds: [weighInId], seed: '4711' }, { expect: 201 });
  await writer.post(
    nutritionist,
    `${at}/draws`,
    { weighInIds: [weighInId], seed: '4711' },
    { as: 'again without a reason', expect: 422 },
  );
  const again = await writer.post(
    nutritionist,
    `${at}/draws`,
    { weighInIds: [weighInId], seed: '4712', leaveOut: [], reason: 'The chute was open' },
    { as: 'again' },
  );
  await writer.post(
    nutritionist,
    `${at}/draws`,
    { weighInIds: [NOTHING], seed: '1', reason: 'again' },
    { as: 'by weights that are not there' },
  );
  await writer.post(
    manager,
    `${at}/draws`,
    { weighInIds: [weighInId], reason: 'again' },
    { as: 'by the manager', expect: 403 },
  );
  return (again.body['animals'] ?? []) as Assigned[];
}

interface ArmHerd {
  armId: string;
  herdId: string;
}

async function begun(writer: Writer, { cowsId, ranchId }: Ids, { at, tag }: Trial, herdId: string): Promise<ArmHerd[]> {
  const { manager, nutritionist } = writer.who;
  const arms = ((await writer.look(at, nutritionist)).body['arms'] ?? []) as { id: string; name: string }[];
  const herds: ArmHerd[] = [];
  for (const arm of arms) {
    const pen = await writer.post(
      manager,
      '/herds',
      {
        name: `Recorded trial, ${arm.name}`,
        ranchId,
        cattleClass: 'growing-calf',
        sex: 'heifer',
        bodyWeight: lb('500'),
      },
      { as: `of the arm ${arm.name}`, expect: 201 },
    );
    await writer.post(
      manager,
      `/herds/${herdId}/head-changes`,
      { kind: 'move', head: 10, happenedOn: '2026-09-08', toHerdId: pen.id },
      { as: `of the arm ${arm.name}`, expect: 201 },
    );
    herds.push({ armId: arm.id, herdId: pen.id });
  }
  await writer.post(
    nutritionist,
    `${at}/beginning`,
    { beginsOn: '2026-09-10', herds: [{ pen: 'north', herdId: cowsId }] },
    { as: 'in a pen that is none', ifMatch: await tag(), expect: 422 },
  );
  await writer.post(
    nutritionist,
    `${at}/beginning`,
    { beginsOn: '2026-09-10', herds },
    { ifMatch: await tag(), expect: 200 },
  );
  return herds;
}

async function whileItRuns(writer: Writer, { at, tag }: Trial): Promise<void> {
  const { hand, nutritionist } = writer.who;
  await writer.post(
    nutritionist,
    `${at}/amendments`,
    { reason: 'Snow: the scale cannot be reached', lengthDays: 34 },
    { ifMatch: await tag(), expect: 200 },
  );
  await writer.post(
    nutritionist,
    `${at}/amendments`,
    { reason: 'Nothing changes' },
    { as: 'of nothing', ifMatch: await tag(), expect: 400 },
  );
  const event = await writer.post(
    hand,
    `${at}/events`,
    { animal: 'W01', kind: 'treated', happenedOn: '2026-09-14', note: 'Foot rot' },
    { expect: 201 },
  );
  await writer.post(
    hand,
    `${at}/events`,
    { animal: 'nobody', kind: 'sick', happenedOn: '2026-09-14' },
    { as: 'of an animal that is none', expect: 422 },
  );
  await writer.post(
    nutritionist,
    `${at}/events`,
    { animal: 'W02', kind: 'sick', happenedOn: '2026-09-14' },
    { as: 'by the nutritionist', expect: 403 },
  );
  await writer.post(hand, `${at}/events/${event.id}/reversal`, { reason: 'It was another heifer' }, { expect: 201 });
}

async function weighedAtTheEnd(
  writer: Writer,
  { animals }: TrialHerd,
  herds: readonly ArmHerd[],
  assigned: readonly Assigned[],
): Promise<void> {
  const { hand } = writer.who;
  const after = animals.map(({ visualTag, weight }, index) => ({
    visualTag,
    weight: lb(String(Number(weight['value']) + 30 + ((index * 11) % 17))),
  }));
  for (const one of herds) {
    const own = after.filter((animal) =>
      assigned.some((drawnOne) => drawnOne.visualTag === animal.visualTag && drawnOne.armId === one.armId),
    );
    if (own.length > 0)
      await writer.post(
        hand,
        '/weigh-ins',
        { scope: 'animal', herdId: one.herdId, weighedOn: '2026-10-14', fill: 'full', animals: own },
        { as: 'at the end of a trial', expect: 201 },
      );
  }
}

async function judgedAndClosed(writer: Writer, { at, tag }: Trial): Promise<void> {
  const { hand, nutritionist } = writer.who;
  await writer.post(
    nutritionist,
    `${at}/judgements`,
    { asOf: '2026-10-14', valueOfGain: { amount: '1.40', per: 'lb' } },
    { expect: 201 },
  );
  await writer.post(hand, `${at}/judgements`, {}, { as: 'by the hand', expect: 403 });
  await writer.post(
    nutritionist,
    `${at}/closing`,
    { reason: 'Ran to its end', closedOn: '2026-10-15' },
    { ifMatch: await tag(), expect: 200 },
  );
  await writer.post(
    nutritionist,
    `${at}/closing`,
    { reason: 'Again' },
    { as: 'twice', ifMatch: await tag(), expect: 409 },
  );
}
