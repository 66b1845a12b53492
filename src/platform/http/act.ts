/**
 * What a role may do inside an operation. The same words stand in the database (rickyard.enter), which decides in the
 * end. read: see records without money · prices: see money · records: write the hay books, herds, tests · daily:
 * feedings, weights, checks · desk: rations, sheets, trials · office: reports' periods and closing · own: people, keys,
 * settings.
 */
export const ACTS = ['read', 'prices', 'records', 'daily', 'desk', 'office', 'own'] as const;
export type Act = (typeof ACTS)[number];

/** Who may call an endpoint: anybody, anybody signed in, or whoever may do this act in the operation of the path. */
export type Access = 'public' | 'signed-in' | Act;
