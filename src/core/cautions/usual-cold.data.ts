/**
 * The cold that is held against a ranch without any weather on record: 20 °F, which cattle are used to, in the months
 * of winter in the north. Source: National Oceanic and Atmospheric Administration, U.S. Climate Normals 1991-2020,
 * January means of Montana, Wyoming, the Dakotas and Nebraska, some 10 to 25 °F (from memory).
 */
export const USUAL_COLD = { temperatureC: -20 / 3, months: [11, 12, 1, 2, 3] } as const;
