import { Injectable } from '@nestjs/common';
import type { Words } from '../../core/units/wording.js';
import type { PlannedDay } from '../../core/judge/evened-bales.js';
import type { FedBefore } from '../../core/judge/fed-before.js';
import { spaceClassOf } from '../../core/laying/space-class.js';
import type { SpaceClass } from '../../core/laying/feeding-space.data.js';
import type { AnimalDescription, ColdMethod, WeatherContext } from '../../core/requirements/requirement-set.js';
import type { Mass } from '../../core/units/mass.js';
import { dayIn } from '../../platform/clock.js';
import type { Books } from '../../platform/database/books.js';
import type { OperationTenant } from '../../platform/database/types.js';
import { together } from '../../platform/database/together.js';
import { HerdRead, type HerdRow } from '../../records/cattle/herds/herd.read.js';
import { bunkLengthMeters, PlaceRead } from '../../records/yard/ranches/place.read.js';
import { RanchRead } from '../../records/yard/ranches/ranch.read.js';
import {
  type RecordedWeather,
  type UsualOn,
  WeatherDayRead,
} from '../../records/yard/weather-days/weather-day.read.js';
import { type HerdStanding, HerdStateRead, standingOf } from '../../records/cattle/standing/herd-state.read.js';
import { type EvenedDay, FedBeforeRead } from './fed-before.js';
import { type FedLately, FedLatelyRead } from './fed-lately.js';
import { groupedBy } from './grouped-by.js';
import { type HerdOn, keyOf } from './herd-on.js';
import { WaterRead, type WaterSource } from './water.js';
import {
  type JudgedWeather,
  KNOWN_WEATHER,
  statedWeather,
  usedToOn,
  type WeatherChoice,
  type WeatherKept,
  weatherOfDay,
} from './weather-choice.js';

/** A day without weather of its own takes that of up to this many days before. */
const WEATHER_GOOD_FOR_DAYS = 3;

/**
 * A herd as the desk needs it on a day: mean animal, head, weather, water, place and what it was fed. Everything that
 * judges a herd gets it from here.
 */
export interface HerdFacts {
  herd: HerdRow;
  on: string;
  head: number;
  bodyWeight: Mass;
  bodyWeightFrom: Words;
  animal: AnimalDescription;
  /** The herd by stage, and the basis for that. */
  standing: HerdStanding;
  /** The weather that it is judged in; `null`: as in mild weather. */
  weather: JudgedWeather | null;
  /** Which weather was asked for. */
  weatherAsked: WeatherChoice['kind'];
  /** What it is used to, °C, whatever weather was asked for; `null` where nothing tells. */
  usedToC: number | null;
  /** Water sources at its place; empty where nothing is known about them. */
  water: readonly WaterSource[];
  /** Feedings of its last week of feeding; `null` if it was never fed. */
  fedLately: FedLately | null;
  /** What it is used to by the days before this one; `null` where nothing is known of them. */
  fedBefore: FedBefore | null;
  /** Its ration in use on this day where that is laid in whole bales, which round it; else `null`. */
  rationInBales: PlannedDay | null;
  /** What each of its days with feedings gave, the rounding to whole bales evened out. */
  evenedDays: readonly EvenedDay[];
  space: { spaceClass: SpaceClass; access: 'once-daily'; feedingLengthM: number | null; volumeM3: null };
}

/** A herd on one of many days, before its feed is known. */
export type HerdOnDay = Pick<
  HerdFacts,
  'on' | 'standing' | 'animal' | 'bodyWeight' | 'bodyWeightFrom' | 'weather' | 'weatherAsked' | 'usedToC'
>;

export function weatherContextOf(weather: JudgedWeather, coldMethod: ColdMethod): WeatherContext {
  return {
    temperatureC: weather.temperatureC,
    coat: weather.coat,
    coldMethod,
    ...(weather.windKmPerHour === null ? {} : { windKmPerHour: weather.windKmPerHour }),
    ...(weather.mudDepthCm === null ? {} : { mudDepthCm: weather.mudDepthCm }),
    previousMonthTemperatureC: weather.previousMonthTemperatureC,
  };
}

@Injectable()
export class HerdFactsRead {
  constructor(
    private readonly herds: HerdRead,
    private readonly states: HerdStateRead,
    private readonly weather: WeatherDayRead,
    private readonly ranches: RanchRead,
    private readonly places: PlaceRead,
    private readonly water: WaterRead,
    private readonly fedLately: FedLatelyRead,
    private readonly fedBefore: FedBeforeRead,
  ) {}

  /** Today at the herd's ranch. */
  async today(tenant: OperationTenant, ranchId: string): Promise<string> {
    return dayIn(await this.ranches.timeZone(tenant, ranchId), tenant.moment);
  }

  async one(
    tenant: OperationTenant,
    herdId: string,
    on: string | undefined,
    weather: WeatherChoice = KNOWN_WEATHER,
  ): Promise<HerdFacts> {
    return this.ofOne(tenant, await this.herdOn(tenant, herdId, on), weather);
  }

  /** A herd, and the day to judge it on: the one given, else today at its ranch. */
  async herdOn(
    tenant: OperationTenant,
    herdId: string,
    on: string | undefined,
  ): Promise<{ herd: HerdRow; on: string }> {
    if (on !== undefined) return { herd: await this.herds.one(tenant, herdId), on };
    const [herd, today] = await together(this.herds.one(tenant, herdId), this.herds.todayAt(tenant));
    return { herd, on: today.get(herd.ranch_id) ?? dayIn(tenant.operation.timeZone, tenant.moment) };
  }

  async ofOne(
    books: Books,
    { herd, on }: { herd: HerdRow; on: string },
    weather: WeatherChoice = KNOWN_WEATHER,
  ): Promise<HerdFacts> {
    const [facts] = await this.of(books, [herd], on, weather);
    if (facts === undefined) throw new RangeError('A herd that is there has facts');
    return facts;
  }

  /** For herds of one operation, or of several on the same day. */
  async of(
    books: Books,
    herds: readonly HerdRow[],
    on: string,
    choice: WeatherChoice = KNOWN_WEATHER,
  ): Promise<HerdFacts[]> {
    return this.onDays(
      books,
      herds.map((herd) => ({ herd, on })),
      choice,
    );
  }

  /** Each herd on its day, in the order given; what several days need is asked once for all of them. */
  async onDays(
    books: Books,
    asked: readonly { readonly herd: HerdRow; readonly on: string }[],
    choice: WeatherChoice = KNOWN_WEATHER,
  ): Promise<HerdFacts[]> {
    const days = [...new Set(asked.map(({ on }) => on))].sort();
    const last = days.at(-1);
    if (last === undefined) return [];
    const herdIds = [...new Set(asked.map(({ herd }) => herd.id))];
    const ranchIds = [...new Set(asked.map(({ herd }) => herd.ranch_id))];
    const herdsOn = asked.map(({ herd, on }) => ({ herdId: herd.id, on }));
    const [headOn, { standingOn, places, waterOn }, weatherOn, fedLately, fedBefore] = await together(
      this.herds.headThrough(books, herdIds, last),
      this.#standings(books, herdsOn),
      this.#weather(books, ranchIds, days, choice),
      this.fedLately.onDays(books, herdsOn),
      this.fedBefore.onDays(books, herdsOn),
    );
    return asked.flatMap(({ herd, on }) => {
      const of = { herdId: herd.id, on };
      const standing = standingOn(of);
      if (standing === undefined) return [];
      const placeId = standing.state.placeId ?? '';
      const before = fedBefore(of);
      return {
        herd,
        on,
        head: headOn(herd.id, on),
        bodyWeight: standing.weight.mass,
        bodyWeightFrom: standing.weight.from,
        animal: standing.main,
        standing,
        ...weatherOn(herd.ranch_id, on),
        weatherAsked: choice.kind,
        water: waterOn(on).get(placeId) ?? [],
        fedLately: fedLately(of),
        fedBefore: before?.mean ?? null,
        rationInBales: before?.rationInBales ?? null,
        evenedDays: before?.entered ?? [],
        space: {
          spaceClass: spaceClassOf(standing.main.class),
          access: 'once-daily',
          feedingLengthM: bunkLengthMeters(places.get(placeId)),
          volumeM3: null,
        },
      };
    });
  }

  /** Each herd on its day, with the places where they are and the water there. */
  async #standings(
    books: Books,
    asked: readonly HerdOn[],
  ): Promise<{
    standingOn: (of: HerdOn) => HerdStanding | undefined;
    places: Awaited<ReturnType<PlaceRead['byId']>>;
    waterOn: (day: string) => Awaited<ReturnType<WaterRead['of']>>;
  }> {
    const states = await this.states.throughTime(books, [...new Set(asked.map(({ herdId }) => herdId))]);
    const standings = asked.flatMap(({ herdId, on }) => {
      const herd = states.get(herdId);
      return herd === undefined ? [] : [{ herdId, on, standing: standingOf(herd.on(on)) }];
    });
    const placesOf = (of: typeof standings): string[] => [
      ...new Set(of.flatMap(({ standing }) => standing.state.placeId ?? [])),
    ];
    const [places, ...water] = await together(
      this.places.byId(books, placesOf(standings)),
      ...[...groupedBy(standings, ({ on }) => on)].map(
        async ([on, ofDay]) => [on, await this.water.of(books, placesOf(ofDay), on)] as const,
      ),
    );
    const byHerdAndDay = new Map(standings.map((one) => [keyOf(one), one.standing]));
    const byDay = new Map(water);
    return {
      standingOn: (of) => byHerdAndDay.get(keyOf(of)),
      places,
      waterOn: (day) => byDay.get(day) ?? new Map<string, WaterSource[]>(),
    };
  }

  /** Each herd on any day from a first one on, in the usual weather of that month. */
  async throughTime(
    books: Books,
    herds: readonly HerdRow[],
    from: string,
  ): Promise<Map<string, (day: string) => HerdOnDay>> {
    const ranchIds = [...new Set(herds.map((herd) => herd.ranch_id))];
    const [usual, recorded, states] = await together(
      this.weather.usual(books, ranchIds),
      this.weather.recorded(books, ranchIds, from),
      this.states.throughTime(
        books,
        herds.map((herd) => herd.id),
      ),
    );
    return new Map(
      herds.flatMap((herd) => {
        const time = states.get(herd.id);
        if (time === undefined) return [];
        const onDay = (day: string): HerdOnDay => {
          const standing = standingOf(time.on(day));
          const kept = keptOf(day, 0, usual.get(herd.ranch_id), recorded.get(herd.ranch_id));
          return {
            on: day,
            standing,
            animal: standing.main,
            bodyWeight: standing.weight.mass,
            bodyWeightFrom: standing.weight.from,
            weather: weatherOfDay('usual', day, kept),
            weatherAsked: 'usual',
            usedToC: usedToOn(day, kept),
          };
        };
        return [[herd.id, onDay] as const];
      }),
    );
  }

  /** Of a ranch on one of these days, in order: the weather that was asked for, and what cattle are used to there. */
  async #weather(
    books: Books,
    ranchIds: readonly string[],
    days: readonly string[],
    choice: WeatherChoice,
  ): Promise<(ranchId: string, day: string) => RanchWeather> {
    const [first, last] = [days[0] ?? '', days.at(-1) ?? ''];
    const within = choice.kind === 'known' ? WEATHER_GOOD_FOR_DAYS : 0;
    const [usual, known] = await together(
      this.weather.usual(books, choice.kind === 'known' ? [] : ranchIds, last),
      this.weather.recorded(books, ranchIds, first, { withinDays: within, until: last }),
    );
    const isTold = (id: string, on: string): boolean =>
      known.get(id)?.on(on, within) !== undefined || (choice.kind === 'usual' && usual.get(id)?.(on) !== undefined);
    const without = ranchIds.filter((id) =>
      days.some((on) => !isTold(id, on) || (known.get(id)?.monthBefore(on) ?? null) === null),
    );
    // What stands in is asked for only where it has to: most days are on record.
    const [usualInstead, before] = await together(
      this.weather.usual(books, choice.kind === 'known' ? without : [], last),
      this.weather.recorded(books, without, first, { until: last }),
    );
    return (id, on) => {
      const kept = keptOf(on, within, usual.get(id) ?? usualInstead.get(id), before.get(id) ?? known.get(id));
      return { weather: asChosen(choice, on, kept), usedToC: usedToOn(on, kept) };
    };
  }
}

interface RanchWeather {
  readonly weather: JudgedWeather | null;
  readonly usedToC: number | null;
}

function asChosen(choice: WeatherChoice, on: string, kept: WeatherKept): JudgedWeather | null {
  if (choice.kind === 'none') return null;
  if (choice.kind === 'stated') return statedWeather(on, choice.weather, usedToOn(on, kept));
  return weatherOfDay(choice.kind, on, kept);
}

/** What is kept of a ranch's weather, for a day and the `within` before it that speak for it. */
function keptOf(
  day: string,
  within: number,
  usualOn: UsualOn | undefined,
  recorded: RecordedWeather | undefined,
): WeatherKept {
  return {
    usualOn,
    recorded: recorded?.on(day, within),
    lastWeek: recorded?.lastWeekOn(day),
    monthBefore: recorded?.monthBefore(day),
  };
}
