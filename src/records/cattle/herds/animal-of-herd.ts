import { daysBetween } from '../../../core/time/calendar-day.js';
import type { AnimalDescription } from '../../../core/requirements/requirement-set.js';
import type { Mass } from '../../../core/units/mass.js';
import type { HerdRow } from './herd.read.js';

const GESTATION_DAYS_MAX = 300;

/**
 * The mean animal of a herd on a day, as the requirement equations want it: stage is counted from the days of breeding
 * and calving.
 */
export function animalOfHerd(herd: HerdRow, bodyWeight: Mass, on: string): AnimalDescription {
  // A calving ends the pregnancy that was begun before it.
  const calvedSince =
    herd.bred_on !== null && herd.calved_on !== null && herd.bred_on < herd.calved_on && herd.calved_on <= on;
  const daysPregnant = herd.bred_on === null || calvedSince ? undefined : daysBetween(herd.bred_on, on);
  const daysInMilk = herd.calved_on === null ? undefined : daysBetween(herd.calved_on, on);
  return {
    class: herd.cattle_class,
    sex: herd.sex,
    breedType: herd.breed_type,
    fullBodyWeightKg: bodyWeight.kilograms.toNumber(),
    ...(herd.mature_weight_kg === null ? {} : { matureFullBodyWeightKg: Number(herd.mature_weight_kg) }),
    ...(herd.body_condition === null ? {} : { bodyConditionScore: Number(herd.body_condition) }),
    ...(daysPregnant === undefined || daysPregnant < 0 || daysPregnant > GESTATION_DAYS_MAX ? {} : { daysPregnant }),
    ...(daysInMilk === undefined || daysInMilk < 0 ? {} : { daysInMilk }),
    ...(herd.peak_milk_kg === null ? {} : { peakMilkKgPerDay: Number(herd.peak_milk_kg) }),
    ...(herd.target_gain_kg === null ? {} : { targetShrunkGainKgPerDay: Number(herd.target_gain_kg) }),
  };
}
