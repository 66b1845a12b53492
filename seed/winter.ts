import { addDays, compareDays } from '../src/core/time/calendar-day.js';
import type { ScenarioHerd } from './scenario.schema.js';

/** One generated feeding: what was laid for a herd on a day, in the herd's unit. */
export interface WinterFeeding {
  on: string;
  head: number;
  weather: 'dry' | 'dew' | 'frost' | 'snow';
  layers: { role: 'coarse' | 'rich' | 'mixed'; lot: string; weight: string }[];
  /** Measured once a week. */
  wasted: string | undefined;
}

/** Park and Miller's minimal standard generator (1988): the same winter every time, on every machine. */
function minimalStandard(seed: number): () => number {
  let state = seed % 2_147_483_647;
  if (state <= 0) state += 2_147_483_646;
  return () => {
    state = (state * 16_807) % 2_147_483_647;
    return (state - 1) / 2_147_483_646;
  };
}

/** A winter of daily feedings of one herd: its ration, a little more when it snows, weighed to the nearest five. */
export function winterFeedings(
  herd: ScenarioHerd,
  winter: { feedFrom: string; feedUntil: string },
  seed: number,
): WinterFeeding[] {
  const random = minimalStandard(seed);
  const feedings: WinterFeeding[] = [];
  for (let on = winter.feedFrom, index = 0; compareDays(on, winter.feedUntil) <= 0; on = addDays(on, 1), index += 1) {
    const head =
      herd.head - herd.changes.filter((change) => change.on <= on).reduce((sum, change) => sum + change.head, 0);
    if (head <= 0) break;
    const roll = random();
    const weather = roll < 0.1 ? 'snow' : roll < 0.25 ? 'frost' : roll < 0.3 ? 'dew' : 'dry';
    const factor = (weather === 'snow' ? 1.05 : 1) * (0.97 + 0.06 * random());
    const layers = herd.layers.map(({ role, lot, share }) => ({
      role,
      lot,
      weight: String(Math.max(5, Math.round((head * Number(herd.perHead) * share * factor) / 5) * 5)),
    }));
    const total = layers.reduce((sum, layer) => sum + Number(layer.weight), 0);
    const wasted =
      index % 7 === 3 ? String(Math.round((total * herd.wastePercent * (0.85 + 0.3 * random())) / 100)) : undefined;
    feedings.push({ on, head, weather, layers, wasted });
  }
  return feedings;
}
