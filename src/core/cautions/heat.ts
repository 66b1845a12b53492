import { CAUTIONS } from './cautions.data.js';
import { plain, raiseIfPassed, type RaisedCaution } from './caution.js';

/** Dry air: with more moisture in it the same temperature is harder to bear. Common practice, no source. */
const LEAST_HUMIDITY = 0.2;

/**
 * Temperature-humidity index. Source: Thom 1959 in the form of Mader, Davis & Brown 2006,
 * Journal of Animal Science 84:712: 0.8 T + RH (T - 14.4) + 46.4 (from memory).
 */
function temperatureHumidityIndex({
  temperatureC,
  relativeHumidity,
}: {
  readonly temperatureC: number;
  /** 0 to 1. */
  readonly relativeHumidity: number;
}): { readonly index: number } {
  return { index: 0.8 * temperatureC + relativeHumidity * (temperatureC - 14.4) + 46.4 };
}

/** Heat by the livestock weather safety index. Humidity is not on record: the index is what dry air makes at least. */
export function heatCautions({ meanTemperatureC }: { readonly meanTemperatureC: number }): RaisedCaution[] {
  const { index } = temperatureHumidityIndex({ temperatureC: meanTemperatureC, relativeHumidity: LEAST_HUMIDITY });
  const { alert, danger, emergency } = CAUTIONS['heat-stress'].thresholds;
  const [threshold, severity] =
    index >= emergency.value
      ? ([emergency, 'danger'] as const)
      : index >= danger.value
        ? ([danger, 'watch'] as const)
        : ([alert, 'notice'] as const);
  return raiseIfPassed({
    code: 'heat-stress',
    severity,
    given: index,
    threshold,
    message: `The temperature-humidity index is at least ${plain(index, 0)}, even in dry air.`,
  });
}
