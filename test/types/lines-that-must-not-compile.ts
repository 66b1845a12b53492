// What does not compile has no type.
/* eslint-disable @typescript-eslint/no-unsafe-call */
/* eslint-disable @typescript-eslint/no-unsafe-return */
/* eslint-disable @typescript-eslint/no-unsafe-member-access */
/*
 * Each line below that follows an @ts-expect-error must be refused by the compiler; the type check fails as soon as one
 * of them compiles. Nothing here runs: it is a list of mistakes that cannot be made.
 */
import { decimal } from '../../src/core/units/decimal.js';
import { Mass } from '../../src/core/units/mass.js';
import { Money, PricePerMass } from '../../src/core/units/money.js';
import type { Database } from '../../src/platform/database/database.js';
import type { OperationTenant } from '../../src/platform/database/types.js';
import type { Act } from '../../src/platform/http/act.js';
import type { Asker } from '../../src/platform/http/asker.js';
import { Problem, ruleBroken } from '../../src/platform/http/problem.js';
import { type MassIn, toMass, formatMass, formatMoney, formatPrice } from '../../src/platform/wire/quantity.schema.js';

export function quantities(hay: Mass, cost: Money, price: PricePerMass): unknown[] {
  return [
    // What belongs together goes together.
    hay.plus(hay),
    cost.plus(cost),
    price.for(hay),
    cost.per(hay),
    cost.dividedBy('3'),
    hay.times('2'),

    // @ts-expect-error a pound is not added to a dollar
    hay.plus(cost),
    // @ts-expect-error a dollar is not added to a pound
    cost.plus(hay),
    // @ts-expect-error a dollar is not taken from a pound
    hay.minus(cost),
    // @ts-expect-error a rate is not an amount
    cost.plus(price),
    // @ts-expect-error an amount is not a rate
    price.plus(cost),
    // @ts-expect-error two rates have no sum
    price.plus(price),
    // @ts-expect-error a mass is not compared with money
    hay.compare(cost),
    // @ts-expect-error money is not compared with a mass
    cost.compare(hay),
    // @ts-expect-error a mass is not multiplied by a mass
    hay.times(hay),
    // @ts-expect-error money is not multiplied by a mass: a price is asked for it
    cost.times(hay),
    // @ts-expect-error a mass is divided by a number, or asked for its ratio
    hay.dividedBy(hay),
    // @ts-expect-error a price is for a mass, not for a number
    price.for('12'),
    // @ts-expect-error a price is for a mass, not for money
    price.for(cost),
    // @ts-expect-error a price is per mass
    cost.per(cost),
    // @ts-expect-error a number is no mass until its unit is said
    hay.plus('12'),
    // @ts-expect-error a decimal is no mass until its unit is said
    hay.plus(decimal('12')),
    // @ts-expect-error a number is no money until its currency is said
    cost.plus('12'),
    // @ts-expect-error a bale is no unit of mass
    Mass.of('1', 'bale'),
    // @ts-expect-error a hundredweight is not among the units
    Mass.of('1', 'cwt'),
    // @ts-expect-error a unit is never guessed
    Mass.of('1'),
    // @ts-expect-error a currency is never guessed
    Money.of('1'),
    // @ts-expect-error a currency that the books do not take
    Money.of('1', 'DEM'),
    // @ts-expect-error a price needs its unit of mass
    PricePerMass.of('150', 'USD'),
    // @ts-expect-error a sum of money names its currency, also where there is nothing to add
    Money.sum([]),
    // @ts-expect-error masses and money are not summed
    Mass.sum([hay, cost]),
    // @ts-expect-error a mass cannot be made by hand: its kilograms would be anybody's guess
    { kilograms: decimal('1') } satisfies Mass,
    // @ts-expect-error nor changed
    (hay.kilograms = decimal('1')),
  ];
}

export function onTheWire(hay: Mass, cost: Money, price: PricePerMass, given: MassIn): unknown[] {
  return [
    toMass(given),
    formatMass(hay, 'us', 'large'),
    formatMoney(cost),
    formatPrice(price, 'us'),

    // @ts-expect-error money does not go out as a mass
    formatMass(cost, 'us', 'large'),
    // @ts-expect-error a rate does not go out as an amount
    formatMoney(price),
    // @ts-expect-error an amount does not go out as a rate
    formatPrice(cost, 'us'),
    // @ts-expect-error a mass goes out in a system of units that somebody chose
    formatMass(hay),
    // @ts-expect-error there are two systems of units
    formatMass(hay, 'imperial', 'large'),
    // @ts-expect-error a mass comes in with its unit
    toMass({ value: '12' }),
    // @ts-expect-error a mass comes in as text: a float would have lost digits already
    toMass({ value: 12, unit: 'lb' }),
  ];
}

export function theDoor(database: Database, asker: Asker, tenant: OperationTenant): unknown[] {
  return [
    database.readIn(asker, 'an operation', ({ db }) => db.selectFrom('herd').select('id').execute()),
    tenant.may('read'),

    // @ts-expect-error nobody reads without saying who is asking
    database.readIn('an operation', ({ db }) => db.selectFrom('herd').select('id').execute()),
    // @ts-expect-error nobody writes in an operation without naming it
    database.writeIn(asker, ({ db }) => db.selectFrom('herd').select('id').execute()),
    // @ts-expect-error there is no pool to query beside the door
    database.pool,
    // @ts-expect-error there is no query outside a transaction
    database.query('SELECT 1'),
    // @ts-expect-error an act that no role has a word for
    tenant.may('everything'),
    // @ts-expect-error a table that is not there
    tenant.db.selectFrom('herds'),
    // @ts-expect-error a column that is not there
    tenant.db.selectFrom('herd').select('passphrase_hash'),
    // @ts-expect-error a row without its operation
    tenant.db.insertInto('ranch').values({ id: 'x', name: 'x', time_zone: 'UTC' }),
    // @ts-expect-error kilograms at rest are decimal text
    tenant.db.updateTable('herd').set({ body_weight_kg: 500 }),
    // @ts-expect-error a day is text, never a Date that a zone could move
    tenant.db.updateTable('feeding').set({ happened_on: new Date() }),
    // @ts-expect-error an audit entry says what was done
    tenant.audit({ subjectKind: 'herd', subjectId: 'x' }),
  ];
}

export function problems(): unknown[] {
  const act: Act = 'prices';
  return [
    act,
    new Problem('lot-short'),
    ruleBroken('#/head', 'too-many', 5, 'at most 4', 'There are four.'),

    // @ts-expect-error a problem without a page
    new Problem('oops'),
    // @ts-expect-error a broken rule says what is allowed
    ruleBroken('#/head', 'too-many', 5),
    // @ts-expect-error a problem is not changed once it is said
    (new Problem('lot-short').code = 'conflict'),
  ];
}
