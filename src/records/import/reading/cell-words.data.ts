/**
 * Other words by which people write down what a column holds, each for one word of its list, lower case, single blanks.
 * Common practice, no source. A word that could be taken for two is not here: it is asked.
 */
export const CELL_SYNONYMS: Readonly<Record<string, string>> = {
  // bale forms
  'round bale': 'round',
  'round bales': 'round',
  rounds: 'round',
  'big round': 'round',
  'big rounds': 'round',
  'large round': 'round',
  'large square bale': 'large-square',
  'large squares': 'large-square',
  'big square': 'large-square',
  'big squares': 'large-square',
  'small square bale': 'small-square',
  'small squares': 'small-square',
  'loose hay': 'loose',
  // storage
  barn: 'under-roof',
  'in barn': 'under-roof',
  'in the barn': 'under-roof',
  shed: 'under-roof',
  'hay shed': 'under-roof',
  'under roof': 'under-roof',
  tarped: 'tarp',
  'under tarp': 'tarp',
  // hay
  'alfalfa hay': 'alfalfa',
  'meadow hay': 'meadow',
  'grass hay': 'grass',
  // what happened to head
  purchased: 'in',
  purchase: 'in',
  bought: 'in',
  received: 'in',
  arrived: 'in',
  arrival: 'in',
  added: 'in',
  died: 'death',
  dead: 'death',
  deaths: 'death',
  'death loss': 'death',
  sold: 'sale',
  sales: 'sale',
  moved: 'move',
  transfer: 'move',
  transferred: 'move',
  'taken out': 'out',
  // what happened to a herd
  breeding: 'bred',
  'preg check': 'pregnancy-check',
  'pregnancy checked': 'pregnancy-check',
  'preg checked': 'pregnancy-check',
  calving: 'calved',
  weaning: 'weaned',
  'body condition': 'condition',
  'condition score': 'condition',
  bcs: 'condition',
  // laying
  'on ground': 'windrow-on-ground',
  'on the ground': 'windrow-on-ground',
  windrow: 'windrow-on-ground',
  // labs
  nir: 'near-infrared',
  nirs: 'near-infrared',
  'near infrared': 'near-infrared',
  'wet chem': 'wet-chemistry',
  dm: 'dry-matter',
  'dry basis': 'dry-matter',
  'dry matter basis': 'dry-matter',
  'as fed': 'as-received',
  'as fed basis': 'as-received',
  // fill
  shrunken: 'shrunk',
};

export const YES = new Set(['yes', 'y', 'true', 'x', '1', '✓', '✔']);
export const NO = new Set(['no', 'n', 'false', '0', '-']);
