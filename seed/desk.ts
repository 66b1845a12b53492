import type { INestApplicationContext } from '@nestjs/common';
import { addDays } from '../src/core/time/calendar-day.js';
import { createLayerTemplate } from '../src/desk/layer-templates/layer-template.schema.js';
import { LayerTemplateService } from '../src/desk/layer-templates/layer-template.service.js';
import {
  acceptRation,
  createRation,
  createRationNote,
  proposeRation,
  returnRation,
  useRation,
} from '../src/desk/rations/ration.schema.js';
import { RationService } from '../src/desk/rations/ration.service.js';
import type { OperationTenant } from '../src/platform/database/types.js';
import { createWaterCheck } from '../src/records/yard/water-checks/water-check.schema.js';
import { WaterCheckService } from '../src/records/yard/water-checks/water-check.service.js';
import { createWeatherDay } from '../src/records/yard/weather-days/weather-day.schema.js';
import { WeatherDayService } from '../src/records/yard/weather-days/weather-day.service.js';
import { demoAsker, writeAs } from './demo-entry.js';

/** A mineral that is kept in front of the cattle, and the intake that is expected. */
export interface FreeChoice {
  lotId: string;
  ouncesPerHead: string;
}

/** An existing herd, and the layers it is fed by: the same ones that its feedings are made from. */
export interface DeskDemoHerd {
  herdId: string;
  herd: string;
  perHead: string;
  unit: 'lb' | 'kg';
  layers: readonly { role: string; lotId: string; share: number }[];
  wastePercent: number;
  freeChoice?: FreeChoice | undefined;
}

/**
 * Where the desk's demo belongs: an existing operation, its places, and the ids of the people who draft, accept and
 * check the water.
 */
export interface DeskDemoPlace {
  operationId: string;
  nutritionistId: string;
  managerId: string;
  handId: string;
  /** First day of feeding; the rations are in use from it on. */
  from: string;
  /** Last day of the demo: weather and water are those of its last days. */
  until: string;
  ranchIds: readonly string[];
  placeIds: readonly string[];
  herds: readonly DeskDemoHerd[];
}

/** Means of thirty winter days, °F, invented. */
const WEATHER_F = [
  28, 31, 26, 19, 12, 8, 14, 22, 27, 33, 35, 30, 24, 21, 17, 11, 9, 16, 23, 29, 34, 36, 38, 31, 27, 25, 22, 28, 33, 37,
];

/**
 * Rations in use from the first day, each proposed by the nutritionist and accepted by the ranch; one that was returned
 * with a note; a draft for spring; a layer template of their own; a month of weather and a check of each water source.
 * Every feed sheet of the operation then has something to show.
 */
export async function loadDeskDemo(
  application: INestApplicationContext,
  place: DeskDemoPlace,
): Promise<{ rationIds: string[] }> {
  const { operationId } = place;
  const desk: Desk = {
    get: (type) => application.get(type, { strict: false }),
    as: (personId, on, work) =>
      writeAs(application, demoAsker(personId, new Date(`${on}T23:00:00Z`)), operationId, work),
  };
  const rationIds: string[] = [];
  for (const [index, herd] of place.herds.entries()) {
    const rationId = await bringIntoUse(desk, place, herd, { returnedOnce: index === 0 });
    rationIds.push(rationId);
    if (index === 0) await noteAndDraft(desk, place, herd, rationId);
  }
  await keepTemplate(desk, place);
  await tellWeather(desk, place);
  await lookAtWater(desk, place);
  return { rationIds };
}

/** Writes an entry of the demo through the services: by a person, on its day. */
interface Desk {
  get: <T>(type: new (...parts: never[]) => T) => T;
  as: <T>(personId: string, on: string, work: (tenant: OperationTenant) => Promise<T>) => Promise<T>;
}

const draftedOn = (place: DeskDemoPlace): string => addDays(place.from, -6);

function rationBody(herd: DeskDemoHerd, name: string, perHead: string) {
  return createRation.body!.parse({
    herdId: herd.herdId,
    name,
    basis: 'as-fed',
    amount: { weight: { value: perHead, unit: herd.unit }, basis: 'as-fed' },
    wastedPercent: String(herd.wastePercent),
    layers: herd.layers.map((layer, index) => ({
      role: layer.role,
      parts: [
        { hayLotId: layer.lotId, sharePercent: percent(layer.share) },
        ...(index < herd.layers.length - 1 ? [] : keptInFront(herd.freeChoice)),
      ],
    })),
  });
}

/** A part of a ration that the cattle take as they like, on top of what is laid. */
function keptInFront(freeChoice: FreeChoice | undefined): object[] {
  if (freeChoice === undefined) return [];
  const { lotId, ouncesPerHead } = freeChoice;
  return [{ hayLotId: lotId, weight: { value: ouncesPerHead, unit: 'oz' }, freeChoice: true }];
}

/** Drafted, proposed, possibly returned and proposed again, accepted, in use from the first day. */
async function bringIntoUse(
  { get, as }: Desk,
  place: DeskDemoPlace,
  herd: DeskDemoHerd,
  { returnedOnce }: { returnedOnce: boolean },
): Promise<string> {
  const { operationId } = place;
  const rations = get(RationService);
  const drafted = draftedOn(place);
  const ration = await as(place.nutritionistId, drafted, (tenant) =>
    rations.create(tenant, {
      params: { operationId },
      body: rationBody(herd, `${herd.herd}, winter`, herd.perHead),
      query: {},
    }),
  );
  const params = { operationId, rationId: ration.id };
  await as(place.nutritionistId, drafted, (tenant) =>
    rations.propose(tenant, {
      params,
      body: proposeRation.body!.parse({ words: 'From the hay on hand; see the judgement for what it leaves short.' }),
      query: {},
    }),
  );
  if (returnedOnce) {
    await as(place.managerId, addDays(drafted, 1), (tenant) =>
      rations.giveBack(tenant, {
        params,
        body: returnRation.body!.parse({
          words: 'Can the coarse hay stay at the bottom? It holds up better in the wind.',
        }),
        query: {},
      }),
    );
    await as(place.nutritionistId, addDays(drafted, 2), (tenant) =>
      rations.propose(tenant, {
        params,
        body: proposeRation.body!.parse({ words: 'It does: it is the first layer, nothing lies under it.' }),
        query: {},
      }),
    );
  }
  await as(place.managerId, addDays(drafted, 3), (tenant) =>
    rations.accept(tenant, { params, body: acceptRation.body!.parse({}), query: {} }),
  );
  await as(place.managerId, addDays(drafted, 3), (tenant) =>
    rations.use(tenant, { params, body: useRation.body!.parse({ from: place.from }), query: {} }),
  );
  return ration.id;
}

/** A note on the ration in use; and a draft for spring, a tenth more, that nobody has proposed yet. */
async function noteAndDraft(
  { get, as }: Desk,
  place: DeskDemoPlace,
  herd: DeskDemoHerd,
  rationId: string,
): Promise<void> {
  const { operationId } = place;
  const params = { operationId, rationId };
  const rations = get(RationService);
  await as(place.nutritionistId, addDays(place.from, 20), (tenant) =>
    rations.writeNote(tenant, {
      params,
      body: createRationNote.body!.parse({
        words: 'Weigh a few bales again: the counts run ahead of the tickets.',
      }),
    }),
  );
  await as(place.nutritionistId, place.until, (tenant) =>
    rations.create(tenant, {
      params: { operationId },
      body: rationBody(herd, `${herd.herd}, spring draft`, (Number(herd.perHead) * 1.1).toFixed(1)),
      query: {},
    }),
  );
}

async function keepTemplate({ get, as }: Desk, place: DeskDemoPlace): Promise<void> {
  const { operationId } = place;
  await as(place.nutritionistId, draftedOn(place), (tenant) =>
    get(LayerTemplateService).create(tenant, {
      params: { operationId },
      body: createLayerTemplate.body!.parse({
        name: 'Windy feed ground',
        basis: 'as-fed',
        layers: [
          { role: 'coarse', sharePercent: '45' },
          { role: 'rich', sharePercent: '20' },
          { role: 'mixed', sharePercent: '35' },
        ],
        note: 'A rule of thumb of this ranch; no trial stands behind it.',
      }),
    }),
  );
}

async function tellWeather({ get, as }: Desk, place: DeskDemoPlace): Promise<void> {
  const { operationId } = place;
  for (const ranchId of place.ranchIds) {
    for (const [back, fahrenheit] of WEATHER_F.entries()) {
      const onDay = addDays(place.until, back - WEATHER_F.length + 1);
      await as(place.handId, onDay, (tenant) =>
        get(WeatherDayService).create(tenant, {
          params: { operationId },
          query: {},
          body: createWeatherDay.body!.parse({
            ranchId,
            onDay,
            meanTemperature: { value: fahrenheit, unit: 'F' },
            wind: { value: 6 + (back % 5) * 3, unit: 'mph' },
            wet: back % 9 === 4,
          }),
        }),
      );
    }
  }
}

async function lookAtWater({ get, as }: Desk, place: DeskDemoPlace): Promise<void> {
  const { operationId } = place;
  for (const [index, placeId] of place.placeIds.entries()) {
    await as(place.handId, addDays(place.until, -1), (tenant) =>
      get(WaterCheckService).create(tenant, {
        params: { operationId },
        query: {},
        body: createWaterCheck.body!.parse({
          placeId,
          source: 'Trough',
          checkedOn: addDays(place.until, -1),
          state: index === 1 ? 'partly-frozen' : 'open',
          flow: { value: '4', unit: 'gal/min' },
          tank: { value: '600', unit: 'gal' },
        }),
      }),
    );
  }
}

function percent(share: number): string {
  return String(Number((share * 100).toFixed(4)));
}
