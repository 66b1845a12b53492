/** A herd on a day that is asked about. */
export interface HerdOn {
  readonly herdId: string;
  readonly on: string;
}

/** What is gathered for several herds and days is kept by this. */
export const keyOf = ({ herdId, on }: HerdOn): string => `${herdId} ${on}`;
