import type { AccountMap } from '../core/stock/journal.js';
import { counted } from '../core/units/counted.js';
import type { Money } from '../core/units/money.js';
import { inWords } from './corrections.js';
import type { Flag } from './report.schema.js';

/** That bought cattle which still stand are in no balance account, by number. */
export function boughtCattleFlags(
  { head, cost }: { head: number; cost: Money },
  accounts: AccountMap,
  until: string,
): Flag[] {
  const { number, name } = accounts['cattle-purchases'];
  return cost.isZero()
    ? []
    : [
        {
          code: 'bought-cattle-not-capitalized',
          message:
            `At the end of ${until}, ${counted(head, 'bought animal')} still ${head === 1 ? 'stands' : 'stand'}, at ` +
            `${inWords(cost)} by the mean cost of each herd. These books enter cattle under ${number} ${name} when ` +
            'they come, so no balance account holds them: an inventory of them at cost takes an entry of its own. ' +
            'Cattle bought for resale are inventory until they are sold (26 CFR 1.61-4(a), 1.471-6(a)).',
        },
      ];
}
