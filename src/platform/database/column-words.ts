import { HAY_COLORS, HAY_SMELLS, HEAT_FELT, SEEN_AMOUNTS } from '../../core/cautions/hay-observation.data.js';
import { HAY_KIND_CODES } from '../../core/feeds/hay-kinds.data.js';
import { OTHER_FEED_CODES } from '../../core/feeds/other-feeds.data.js';
import { CONCENTRATION_BASES } from '../../core/forage/basis.js';
import { CATTLE_PRICE_UNITS, HEAD_PRICE_BASES } from '../../core/gain/cattle-price.js';
import { LAYER_BASES, LAYER_ROLES, LAYING_WEATHER } from '../../core/laying/layer.js';
import { BALE_ROUNDINGS } from '../../core/laying/whole-bales.js';
import { ANIMAL_CLASSES, ANIMAL_SEXES, BREED_TYPES, COAT_CONDITIONS } from '../../core/requirements/requirement-set.js';
import { BUDGET_LINES } from '../../core/season/money-budget.js';
import { BREEDING_SERVICES, HERD_FACT_KINDS } from '../../core/standing/herd-on-file.js';
import { COSTING_METHODS } from '../../core/stock/costing-entries.js';
import { MOVEMENT_KIND_CODES } from '../../core/stock/movement-kinds.data.js';
import { CURRENCIES } from '../../core/units/money.js';
import { unitsOf } from '../../core/units/unit.js';
import { UNIT_SYSTEMS } from '../../core/units/units.data.js';
import { ACTS, ROLES } from '../roles/roles.data.js';
import { RECEIPT_KINDS, RECORD_KIND_CODES } from '../wire/record-kinds.data.js';
import * as words from '../wire/words.data.js';

const MASS_UNITS = unitsOf('mass');

/**
 * The lists that columns take their words from, under the names that `prisma/schema.prisma` uses for them: `///
 * @kyselyType(Words['HayKind'])` beside a column gives it this type, and gives the database a check that admits only
 * these words (`prisma/guards/25-words.sql`, made from the schema file and these lists).
 */
export const COLUMN_WORDS = {
  UnitSystem: UNIT_SYSTEMS,
  Currency: CURRENCIES,
  MassUnit: MASS_UNITS,
  /** Hay may be counted in bales. */
  QuantityUnit: ['bale', ...MASS_UNITS],
  /** A price is per unit of mass, per bale or for the whole lot. */
  PriceUnit: ['bale', 'lot', ...MASS_UNITS],
  BunkLengthUnit: unitsOf('length', 'large'),
  MudDepthUnit: unitsOf('length', 'small'),
  ProbeDepthUnit: unitsOf('length'),
  TankUnit: unitsOf('volume', 'small'),
  FlowUnit: unitsOf('flow'),
  TemperatureUnit: unitsOf('temperature'),
  SpeedUnit: unitsOf('speed'),
  DensityUnit: unitsOf('density'),

  Role: ROLES,
  Act: ACTS,
  KeyScope: words.KEY_SCOPES,
  PersonKeyScope: words.PERSON_KEY_SCOPES,
  SessionEnd: words.SESSION_ENDS,
  AccountEvent: words.ACCOUNT_EVENTS,
  PasskeyTransport: words.PASSKEY_TRANSPORTS,
  MembershipChange: words.MEMBERSHIP_CHANGES,
  EngagementSide: words.ENGAGEMENT_SIDES,
  EngagementState: words.ENGAGEMENT_STATES,
  AfterEngagement: words.AFTER_ENGAGEMENT,
  ProposalState: words.PROPOSAL_STATES,

  WebhookKind: words.WEBHOOK_KINDS,
  WebhookState: words.WEBHOOK_STATES,
  WebhookEnd: words.WEBHOOK_ENDS,
  DeliveryState: words.DELIVERY_STATES,

  PlaceKind: words.PLACE_KINDS,
  CoatCondition: COAT_CONDITIONS,
  WaterState: words.WATER_STATES,

  AnimalClass: ANIMAL_CLASSES,
  AnimalSex: ANIMAL_SEXES,
  BreedType: BREED_TYPES,
  HerdEventKind: HERD_FACT_KINDS,
  BreedingService: BREEDING_SERVICES,
  HeadChangeKind: words.RECORDED_HEAD_CHANGES,
  BudgetLine: BUDGET_LINES,
  HeadMoney: words.HEAD_MONEY,
  HeadPriceBasis: HEAD_PRICE_BASES,
  CattlePriceUnit: CATTLE_PRICE_UNITS,
  HerdCostKind: words.HERD_COST_KINDS,
  WeighInScope: words.WEIGH_IN_SCOPES,
  WeighingFill: words.WEIGHING_FILLS,
  WeighedMeasure: words.WEIGHED_MEASURES,

  FeedCategory: words.FEED_CATEGORIES,
  HayKind: HAY_KIND_CODES,
  FeedKind: [...HAY_KIND_CODES, ...OTHER_FEED_CODES],
  LotOrigin: words.LOT_ORIGINS,
  BaleForm: words.BALE_FORMS,
  StorageMethod: words.STORAGE_METHODS,
  WeightBasis: words.WEIGHT_BASES,
  PriceBasis: words.PRICE_BASES,
  CostingMethod: COSTING_METHODS,
  MovementKind: MOVEMENT_KIND_CODES,
  StockCostKind: words.STOCK_COST_KINDS,
  RecordKind: RECORD_KIND_CODES,
  /** Reversals are posted to the books too, and a head change is reversed by another head change. */
  SubjectKind: ['head-change', 'reversal', ...RECORD_KIND_CODES],
  LabMethod: words.LAB_TEST_METHODS,
  SeenAmount: SEEN_AMOUNTS,
  HaySmell: HAY_SMELLS,
  HayColor: HAY_COLORS,
  HeatFelt: HEAT_FELT,
  ConcentrationBasis: CONCENTRATION_BASES,
  StockTreatment: words.STOCK_TREATMENTS,
  ShrinkBasis: words.SHRINK_BASES,
  ReceiptKind: RECEIPT_KINDS,
  LateCostOwed: words.LATE_COSTS_OWED,
  FeedingMethod: words.FEEDING_METHODS,
  LayingWeather: LAYING_WEATHER,
  LayerRole: LAYER_ROLES,

  DayOrder: words.DAY_ORDERS,
  DecimalMark: words.DECIMAL_MARKS,
  ImportKind: ['icar-weights', ...words.IMPORT_KINDS],
  ImportState: words.IMPORT_STATES,

  LayerBasis: LAYER_BASES,
  AmountBasis: words.AMOUNT_BASES,
  BaleRounding: BALE_ROUNDINGS,
  RationState: words.RATION_STATES,
  RationNoteKind: words.RATION_NOTE_KINDS,
  TrialState: words.TRIAL_STATES,
  TrialArmRole: words.TRIAL_ARM_ROLES,
  TrialEventKind: words.TRIAL_EVENT_KINDS,

  ClosedReport: words.CLOSED_REPORTS,
} as const;

/** The type of a column of each list: one of its words. */
export type Words = { [Name in keyof typeof COLUMN_WORDS]: (typeof COLUMN_WORDS)[Name][number] };
