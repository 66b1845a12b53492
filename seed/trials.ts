import { readFileSync } from 'node:fs';
import path from 'node:path';
import type { INestApplicationContext } from '@nestjs/common';
import { z } from 'zod';
import { addDays } from '../src/core/time/calendar-day.js';
import { weighingDaysOfPeriods } from '../src/core/trial/protocol-sheet.js';
import { type SeededRandom, seededRandom } from '../src/core/trial/seeded-random.js';
import { periodsOf } from '../src/core/trial/trial-design.js';
import type { AnswerOf } from '../src/platform/http/endpoint.js';
import { judgeTrialNow } from '../src/desk/trials/trial-judgement.schema.js';
import { TrialDrawService } from '../src/desk/trials/trial-draw.service.js';
import { TrialEventService } from '../src/desk/trials/trial-event.service.js';
import { TrialJudgementService } from '../src/desk/trials/trial-judgement.service.js';
import {
  beginTrial,
  closeTrial,
  createTrial,
  createTrialEvent,
  drawTrialArms,
} from '../src/desk/trials/trial.schema.js';
import { TrialService } from '../src/desk/trials/trial.service.js';
import type { OperationTenant } from '../src/platform/database/types.js';
import { demoAsker, writeAs } from './demo-entry.js';
import { createFeeding } from '../src/records/feedings/feeding.schema.js';
import { FeedingService } from '../src/records/feedings/feeding.service.js';
import { createHayPurchase } from '../src/records/hay/purchases/hay-purchase.schema.js';
import { HayPurchaseService } from '../src/records/hay/purchases/hay-purchase.service.js';
import { HeadChangeService } from '../src/records/cattle/herds/head-change.service.js';
import { createHeadChange, createHerd } from '../src/records/cattle/herds/herd.schema.js';
import { HerdService } from '../src/records/cattle/herds/herd.service.js';
import { createWeighIn } from '../src/records/cattle/weigh-ins/weigh-in.schema.js';
import { WeighInService } from '../src/records/cattle/weigh-ins/weigh-in.service.js';

const day = z.iso.date();
const decimalText = z.string().regex(/^\d+(\.\d+)?$/);

/** The shape of trials.json: a few lines that a person can read and change. Pounds throughout. */
const trialLines = z.strictObject({
  name: z.string(),
  question: z.string(),
  herd: z.string(),
  tag: z.string(),
  seed: z.string(),
  unit: z.enum(['animal', 'pen']),
  unitsPerArm: z.number().int(),
  headPerPen: z.number().int(),
  weighedOn: day,
  beginsOn: day,
  lengthDays: z.number().int(),
  /** Of a switchback: pens exchange their feedings; arms side by side if left out. */
  design: z
    .strictObject({ kind: z.literal('switchback'), periods: z.number().int(), washoutDays: z.number().int() })
    .optional(),
  interimWeighingDays: z.array(z.number().int()),
  worthwhile: decimalText,
  classOfAnimals: z.string(),
  season: z.string(),
  hayWords: z.string(),
  herdHead: z.number().int(),
  startWeight: decimalText,
  startSpread: decimalText,
  gainSpread: decimalText,
  penSpread: decimalText,
  weighingSpread: decimalText,
  arms: z.array(
    z.strictObject({
      name: z.string(),
      role: z.enum(['usual', 'change']),
      feeding: z.string(),
      dailyGain: decimalText,
      perHead: z.array(z.tuple([z.enum(['coarse', 'rich', 'mixed']), z.string(), decimalText])),
      wasted: decimalText,
    }),
  ),
  events: z.array(
    z.strictObject({
      animal: z.number().int(),
      kind: z.enum(['sick', 'treated', 'died']),
      day: z.number().int(),
      note: z.string(),
    }),
  ),
  feedNotRecorded: z.array(z.number().int()),
  wasteNotRecorded: z.array(z.number().int()),
});
const trialScenario = z.strictObject({
  about: z.string(),
  valueOfGainPerPound: decimalText,
  trials: z.array(trialLines),
  hay: z.array(
    z.strictObject({
      key: z.string(),
      name: z.string(),
      hayKind: z.string(),
      tons: decimalText,
      pricePerTon: decimalText,
      harvestedOn: day,
      boughtOn: day,
    }),
  ),
});
export type TrialScenario = z.output<typeof trialScenario>;
type TrialLines = z.output<typeof trialLines>;

export function readTrialScenario(checkout: string): TrialScenario {
  return trialScenario.parse(JSON.parse(readFileSync(path.join(checkout, 'seed', 'trials.json'), 'utf8')));
}

/**
 * Where the trials belong: an existing operation, one ranch of it, and the ids of the people who plan, record and feed.
 */
export interface TrialDemoPlace {
  operationId: string;
  ranchId: string;
  plannerId: string;
  recorderId: string;
  handId: string;
}

export interface LoadedTrial {
  trialId: string;
  judgementId: string;
  verdict: string;
}

/**
 * Writes the trials through the same services and schemas that the API uses, each entry by its person at its moment.
 */
export async function loadTrialDemo(
  application: INestApplicationContext,
  scenario: TrialScenario,
  place: TrialDemoPlace,
  progress: (words: string) => void,
): Promise<LoadedTrial[]> {
  const yard = new TrialYard(application, place);
  const lots = new Map<string, string>();
  for (const hay of scenario.hay) lots.set(hay.key, await yard.buy(hay));
  const loaded: LoadedTrial[] = [];
  for (const lines of scenario.trials) {
    progress(`loading the trial "${lines.name}"`);
    loaded.push(await yard.run(lines, lots, scenario.valueOfGainPerPound));
  }
  return loaded;
}

interface DemoAnimal {
  tag: string;
  start: number;
  /** Deviation from the mean gain of its arm. */
  leaning: number;
  /** Day of the trial on which it dies; null where it lives. */
  diesOn: number | null;
}

interface DemoGroup {
  armName: string;
  pen: string | null;
  herdId: string;
  animals: DemoAnimal[];
  /** What sets the pen apart from others, in pounds a day. */
  apart: number;
  /** Names of the arms whose feeding it has, period by period. */
  feedings: string[];
}

class TrialYard {
  readonly #operationId: string;

  constructor(
    private readonly application: INestApplicationContext,
    private readonly place: TrialDemoPlace,
  ) {
    this.#operationId = place.operationId;
  }

  async buy(hay: TrialScenario['hay'][number]): Promise<string> {
    const ticket = await this.#as(this.place.recorderId, hay.boughtOn, (tenant) =>
      this.#get(HayPurchaseService).create(tenant, {
        params: { operationId: this.#operationId },
        body: createHayPurchase.body!.parse({
          vendor: 'Neighbor across the creek (invented)',
          purchasedOn: hay.boughtOn,
          weight: { basis: 'net', net: { value: hay.tons, unit: 'ton' } },
          price: { basis: 'per-mass', amount: hay.pricePerTon, per: 'ton' },
          lot: {
            name: hay.name,
            ranchId: this.place.ranchId,
            hayKind: hay.hayKind,
            harvestedOn: hay.harvestedOn,
            baleForm: 'large-square',
            storageMethod: 'under-roof',
            storedSince: hay.boughtOn,
          },
        }),
        query: {},
      }),
    );
    return ticket.hayLotId;
  }

  async run(lines: TrialLines, lots: ReadonlyMap<string, string>, valueOfGain: string): Promise<LoadedTrial> {
    const random = seededRandom({ seed: lines.seed });
    const head = lines.arms.length * lines.unitsPerArm * lines.headPerPen;
    const animals = Array.from({ length: head }, (_, index): DemoAnimal => ({
      tag: `${lines.tag}${101 + index}`,
      start: Number(lines.startWeight) + Number(lines.startSpread) * random.nextNormal(),
      leaning: Number(lines.gainSpread) * random.nextNormal(),
      diesOn: lines.events.find((event) => event.kind === 'died' && event.animal === index)?.day ?? null,
    }));
    const herdId = await this.#herd(lines, lines.herd, lines.weighedOn);
    await this.#headChange(herdId, addDays(lines.weighedOn, -1), { kind: 'in', head });
    const trial = await this.#as(this.place.plannerId, lines.weighedOn, (tenant) =>
      this.#get(TrialService).create(tenant, {
        params: { operationId: this.#operationId },
        body: planOf(lines, herdId),
        query: {},
      }),
    );
    const weighInId = await this.#weigh(
      herdId,
      lines.weighedOn,
      animals.map((animal) => ({
        tag: animal.tag,
        pounds: animal.start + Number(lines.weighingSpread) * random.nextNormal(),
      })),
    );
    const at = { operationId: this.#operationId, trialId: trial.id };
    const drawn = await this.#as(this.place.plannerId, lines.weighedOn, (tenant) =>
      this.#get(TrialDrawService).draw(tenant, {
        params: at,
        body: drawTrialArms.body!.parse({ weighInIds: [weighInId], seed: lines.seed }),
        query: {},
      }),
    );
    const groups = await this.#groups(lines, trial.arms, drawn, animals, herdId, random);
    await this.#as(this.place.plannerId, lines.beginsOn, (tenant) =>
      this.#get(TrialService).begin(tenant, {
        expectedVersion: 1,
        params: at,
        body: beginTrial.body!.parse({
          beginsOn: lines.beginsOn,
          herds: groups.map((group) => ({
            herdId: group.herdId,
            ...(group.pen === null
              ? { armId: trial.arms.find((arm) => arm.name === group.armName)?.id }
              : { pen: group.pen }),
          })),
        }),
        query: {},
      }),
    );
    await this.#weighAll(lines, groups, random);
    await this.#feed(lines, groups, lots, random);
    await this.#events(lines, at, animals, groups);
    const end = addDays(lines.beginsOn, lines.lengthDays + 1);
    const judged = await this.#as(this.place.plannerId, end, (tenant) =>
      this.#get(TrialJudgementService).judge(tenant, {
        params: at,
        body: judgeTrialNow.body!.parse({ asOf: end, valueOfGain: { amount: valueOfGain, per: 'lb' } }),
        query: {},
      }),
    );
    await this.#close(at, groups, addDays(end, 1));
    return { trialId: trial.id, judgementId: judged.id, verdict: judged.comparisons[0]?.verdict ?? '' };
  }

  async #close(
    at: { operationId: string; trialId: string },
    groups: readonly DemoGroup[],
    closedOn: string,
  ): Promise<void> {
    await this.#as(this.place.plannerId, closedOn, (tenant) =>
      this.#get(TrialService).close(tenant, {
        expectedVersion: 2,
        params: at,
        body: closeTrial.body!.parse({ closedOn, reason: 'Ran to its end' }),
        query: {},
      }),
    );
    for (const group of groups)
      await this.#headChange(group.herdId, closedOn, {
        kind: 'out',
        head: livingOn(group, Number.POSITIVE_INFINITY).length,
        note: 'Trial over; back among the others',
      });
  }

  async #weighAll(lines: TrialLines, groups: readonly DemoGroup[], random: SeededRandom): Promise<void> {
    const between = weighingDaysOfPeriods(lines.design, lines.lengthDays, true);
    for (const on of [0, 1, ...lines.interimWeighingDays, ...between, lines.lengthDays, lines.lengthDays + 1]) {
      for (const group of groups) {
        await this.#weigh(
          group.herdId,
          addDays(lines.beginsOn, on),
          livingOn(group, on).map((animal) => ({
            tag: animal.tag,
            pounds:
              animal.start + gained(lines, group, animal, on) + Number(lines.weighingSpread) * random.nextNormal(),
          })),
        );
      }
    }
  }

  async #events(
    lines: TrialLines,
    at: { operationId: string; trialId: string },
    animals: readonly DemoAnimal[],
    groups: readonly DemoGroup[],
  ): Promise<void> {
    for (const event of lines.events) {
      const group = groups.find((one) => one.animals.some((animal) => animal.tag === animals[event.animal]?.tag));
      if (event.kind === 'died' && group !== undefined)
        await this.#headChange(group.herdId, addDays(lines.beginsOn, event.day), {
          kind: 'death',
          head: 1,
          note: event.note,
        });
      await this.#as(this.place.handId, addDays(lines.beginsOn, event.day), (tenant) =>
        this.#get(TrialEventService).create(tenant, {
          params: at,
          body: createTrialEvent.body!.parse({
            animal: animals[event.animal]?.tag,
            kind: event.kind,
            happenedOn: addDays(lines.beginsOn, event.day),
            note: event.note,
          }),
        }),
      );
    }
  }

  /** A herd for every pen, or for every arm without pens; the animals move there before the trial begins. */
  async #groups(
    lines: TrialLines,
    arms: readonly { id: string; name: string }[],
    { assignments, penArms }: AnswerOf<typeof drawTrialArms>,
    animals: readonly DemoAnimal[],
    sourceHerdId: string,
    random: SeededRandom,
  ): Promise<DemoGroup[]> {
    const groups: DemoGroup[] = [];
    for (const line of lines.arms) {
      const nameOf = (armId: string): string => arms.find((arm) => arm.id === armId)?.name ?? '';
      const own = assignments.filter((one) => nameOf(one.armId) === line.name);
      for (const pen of [...new Set(own.map((one) => one.pen))].sort()) {
        const members = own.filter((one) => one.pen === pen);
        const herdId = await this.#herd(lines, `${lines.herd}, ${pen ?? line.name}`, lines.weighedOn);
        await this.#headChange(sourceHerdId, addDays(lines.beginsOn, -2), {
          kind: 'move',
          head: members.length,
          toHerdId: herdId,
        });
        groups.push({
          armName: line.name,
          pen,
          herdId,
          animals: animals.filter((animal) => members.some((one) => one.visualTag === animal.tag)),
          apart: Number(lines.penSpread) * random.nextNormal(),
          feedings: penArms.find((one) => one.pen === pen)?.feedings.map(nameOf) ?? [line.name],
        });
      }
    }
    return groups;
  }

  async #feed(
    lines: TrialLines,
    groups: readonly DemoGroup[],
    lots: ReadonlyMap<string, string>,
    random: SeededRandom,
  ): Promise<void> {
    await this.#as(this.place.handId, lines.beginsOn, async (tenant) => {
      for (let on = 0; on < lines.lengthDays; on += 1) {
        for (const [index, group] of groups.entries()) {
          const arm = lines.arms.find((one) => one.name === feedingOn(lines, group, on));
          const head = livingOn(group, on).length;
          if (arm === undefined || (index === 0 && lines.feedNotRecorded.includes(on))) continue;
          const pounds = (each: string): string =>
            String(Math.round(head * Number(each) * (0.98 + 0.04 * (random.nextUint32() / 2 ** 32))));
          const layers = arm.perHead.map(([role, lot, each]) => ({
            role,
            parts: [{ hayLotId: lots.get(lot), weight: { value: pounds(each), unit: 'lb' } }],
          }));
          const total = layers.reduce((sum, layer) => sum + Number(layer.parts[0]?.weight.value ?? '0'), 0);
          const wasted = String(
            Math.round(total * Number(arm.wasted) * (0.85 + 0.3 * (random.nextUint32() / 2 ** 32))),
          );
          const dated = { ...tenant, moment: evening(addDays(lines.beginsOn, on)) };
          await this.#get(FeedingService).write(
            dated,
            createFeeding.body!.parse({
              herdId: group.herdId,
              fedOn: addDays(lines.beginsOn, on),
              headFed: head,
              method: 'bunk',
              weather: 'dry',
              layers,
              refused: { value: '0', unit: 'lb' },
              ...(lines.wasteNotRecorded.includes(on) ? {} : { wasted: { value: wasted, unit: 'lb' } }),
            }),
          );
        }
      }
      return {};
    });
  }

  async #herd(lines: TrialLines, name: string, on: string): Promise<string> {
    const made = await this.#as(this.place.recorderId, on, (tenant) =>
      this.#get(HerdService).create(tenant, {
        params: { operationId: this.#operationId },
        body: createHerd.body!.parse({
          name,
          ranchId: this.place.ranchId,
          cattleClass: 'growing-calf',
          sex: 'heifer',
          bodyWeight: { value: lines.startWeight, unit: 'lb' },
        }),
        query: {},
      }),
    );
    return made.id;
  }

  async #headChange(
    herdId: string,
    on: string,
    change: { kind: string; head: number; toHerdId?: string; note?: string },
  ): Promise<void> {
    await this.#as(this.place.recorderId, on, (tenant) =>
      this.#get(HeadChangeService).create(tenant, {
        params: { operationId: this.#operationId, herdId },
        body: createHeadChange.body!.parse({ ...change, happenedOn: on }),
        query: {},
      }),
    );
  }

  async #weigh(herdId: string, on: string, animals: readonly { tag: string; pounds: number }[]): Promise<string> {
    const made = await this.#as(this.place.handId, on, (tenant) =>
      this.#get(WeighInService).create(tenant, {
        params: { operationId: this.#operationId },
        body: createWeighIn.body!.parse({
          scope: 'animal',
          herdId,
          weighedOn: on,
          fill: 'full',
          scale: 'Chute scale, checked with 500 lb',
          animals: animals.map(({ tag, pounds }) => ({
            visualTag: tag,
            weight: { value: String(Math.round(pounds)), unit: 'lb' },
          })),
        }),
        query: {},
      }),
    );
    return made.id;
  }

  #get<T>(type: new (...parts: never[]) => T): T {
    return this.application.get(type, { strict: false });
  }

  #as<T>(personId: string, on: string, work: (tenant: OperationTenant) => Promise<T>): Promise<T> {
    return writeAs(this.application, demoAsker(personId, evening(on)), this.#operationId, work);
  }
}

function planOf(lines: TrialLines, herdId: string): z.output<NonNullable<typeof createTrial.body>> {
  return createTrial.body!.parse({
    name: lines.name,
    herdId,
    question: lines.question,
    arms: lines.arms.map(({ name, role, feeding }) => ({ name, role, feeding })),
    unit: lines.unit,
    unitsPerArm: lines.unitsPerArm,
    headPerPen: lines.headPerPen,
    lengthDays: lines.lengthDays,
    worthwhileDifference: { value: lines.worthwhile, unit: 'lb' },
    spread: { from: 'own-weights' },
    interimWeighingDays: lines.interimWeighingDays,
    ...(lines.design === undefined ? {} : { design: lines.design }),
    weighingSpread: { value: lines.weighingSpread, unit: 'lb' },
    classOfAnimals: lines.classOfAnimals,
    season: lines.season,
    hay: lines.hayWords,
    herdHead: lines.herdHead,
    ...(lines.unit === 'pen'
      ? { pens: Array.from({ length: lines.arms.length * lines.unitsPerArm }, (_, index) => `pen ${index + 1}`) }
      : {}),
  });
}

/** The animals of a group that are there when a day's entries are made: one is gone from the day of its death. */
function livingOn({ animals }: DemoGroup, on: number): DemoAnimal[] {
  return animals.filter(({ diesOn }) => diesOn === null || on < diesOn);
}

/** Name of the arm whose feeding a group has on a day. */
function feedingOn(lines: TrialLines, { feedings }: DemoGroup, on: number): string {
  const period = periodsOf(lines.design, lines.lengthDays).find(({ until }) => on < until)?.number ?? feedings.length;
  return feedings[Math.min(period, feedings.length) - 1] ?? '';
}

/** What an animal has gained up to a day, on what its group was fed. */
function gained(lines: TrialLines, group: DemoGroup, { leaning }: DemoAnimal, on: number): number {
  const ofFeeding = periodsOf(lines.design, lines.lengthDays).reduce((sum, { from, until }, index, all) => {
    // Weights go on to the day after the end.
    const days = Math.max(0, (index === all.length - 1 ? on : Math.min(on, until)) - from);
    const arm = lines.arms.find((one) => one.name === feedingOn(lines, group, from));
    return sum + days * Number(arm?.dailyGain ?? '0');
  }, 0);
  return ofFeeding + on * (group.apart + leaning);
}

/** Entries are made in the evening of their day. */
function evening(on: string): Date {
  return new Date(`${on}T23:30:00Z`);
}
