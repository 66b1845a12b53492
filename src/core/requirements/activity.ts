import type { Terrain } from './requirement-set.js';

/**
 * Extra net energy of grazing, Mcal/d: (0.006·intake·(0.9 − digestibility) + 0.05·terrain/(available forage + 3))
 * · weight / 4.184, terrain 1 level, 2 hilly; available forage in t of dry matter per ha. On middling pasture (2 t/ha,
 * 60 % digestible, level) it adds almost half of maintenance, more than the 10 to 20 % that texts name for good
 * pasture: measure the pasture before relying on it. Source: CSIRO 1990, Feeding Standards for Australian Livestock, as
 * carried in NRC 2000 (from memory).
 */
export function csiro1990GrazingEnergy({
  fullBodyWeightKg,
  pastureIntakeKgPerDay,
  pastureDigestibility,
  availableForageTonnesPerHectare,
  terrain,
}: {
  fullBodyWeightKg: number;
  pastureIntakeKgPerDay: number;
  /** 0 to 1. */
  pastureDigestibility: number;
  availableForageTonnesPerHectare: number;
  terrain: Terrain;
}): { netEnergyActivityMcalPerDay: number; grazingMcalPerDay: number; walkingMcalPerDay: number } {
  const perMcal = fullBodyWeightKg / 4.184;
  const grazingMcalPerDay = 0.006 * pastureIntakeKgPerDay * Math.max(0, 0.9 - pastureDigestibility) * perMcal;
  const walkingMcalPerDay = ((0.05 * (terrain === 'hilly' ? 2 : 1)) / (availableForageTonnesPerHectare + 3)) * perMcal;
  return { netEnergyActivityMcalPerDay: grazingMcalPerDay + walkingMcalPerDay, grazingMcalPerDay, walkingMcalPerDay };
}

/**
 * Extra net energy of standing, getting up and walking, Mcal/d:
 * (0.1·hours standing + 0.062·changes of position + 0.621·level km + 6.69·sloped km) · full weight / 1000.
 * Source: Fox & Tylutki 1998, J. Dairy Sci. 81:3085; NASEM 2016 (from memory).
 */
export function foxTylutki1998ActivityEnergy({
  fullBodyWeightKg,
  hoursStandingPerDay,
  positionChangesPerDay,
  flatWalkingKmPerDay,
  slopedWalkingKmPerDay,
}: {
  fullBodyWeightKg: number;
  hoursStandingPerDay: number;
  positionChangesPerDay: number;
  flatWalkingKmPerDay: number;
  slopedWalkingKmPerDay: number;
}): { netEnergyActivityMcalPerDay: number } {
  return {
    netEnergyActivityMcalPerDay:
      ((0.1 * hoursStandingPerDay +
        0.062 * positionChangesPerDay +
        0.621 * flatWalkingKmPerDay +
        6.69 * slopedWalkingKmPerDay) *
        fullBodyWeightKg) /
      1000,
  };
}
