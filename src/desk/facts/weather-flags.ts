/** A note or caution about the weather that a herd is judged in, in the reader's words. */
export interface ToldOfWeather {
  readonly herd: string;
  readonly code: string;
  readonly message: string;
  /** Of a caution, the number that raised it. */
  readonly given?: number;
}

/**
 * What an answer over many days says once of its weather: what stands in where it is not known, with the herds, and of
 * each herd the day on which most is left out of the need.
 */
export function weatherFlags(told: readonly ToldOfWeather[]): { code: string; message: string }[] {
  const notes = told.filter(({ code }) => code === 'no-weather-normals');
  const cold = told.filter(({ code }) => code === 'cold-left-out');
  const worst = (herd: string) =>
    cold.filter((one) => one.herd === herd).sort((one, other) => (other.given ?? 0) - (one.given ?? 0))[0];
  const herdsOf = (of: readonly ToldOfWeather[]): string[] => [...new Set(of.map(({ herd }) => herd))];
  return [
    ...herdsOf(cold).flatMap((herd) => {
      const most = worst(herd);
      return most === undefined ? [] : [{ code: most.code, message: `${herd}: ${most.message}` }];
    }),
    ...[...new Set(notes.map(({ message }) => message))].map((message) => ({
      code: 'no-weather-normals',
      message: `${herdsOf(notes.filter((one) => one.message === message)).join(', ')}: ${message}`,
    })),
  ];
}
