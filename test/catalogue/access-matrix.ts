import { actsOf, type Act, ROLES, type Role } from '../../src/platform/roles/roles.data.js';
import type { Access } from '../../src/platform/http/act.js';

/**
 * Which routes take which act, to be read by a person; who may do an act, the table of roles says. Together: for every
 * route, what each role is answered in its own operation, and what everybody else is. matrix.test.ts asks the running
 * server all of it, writes it down route by route (test/snapshots/access-matrix-whole.md), and fails on a route that
 * has no row here.
 *
 * served   the request gets past the door; what follows depends on what it says
 * refused  403: a member, but the role or the key does not reach
 * hidden   404: there is no such operation, in the words of one that never was
 * unknown  401: no good token or key came with it
 */
export type AnswerClass = 'served' | 'refused' | 'hidden' | 'unknown';

/** In the own operation, with a membership that sees prices where the role may. */
type InOwnOperation = Record<Role, AnswerClass>;

/** Whoever stands elsewhere, role by role the same. */
interface Elsewhere {
  /** A member of another operation. */
  other: AnswerClass;
  /** Whose place in this operation has ended. */
  ended: AnswerClass;
  /** An API key of this operation with the one scope `read`. */
  readKey: AnswerClass;
  /** The same key after its expiry. */
  expiredKey: AnswerClass;
  anonymous: AnswerClass;
}

interface Routes {
  what: string;
  access: Access;
  /** The operationId of each route in the API description, and of each page. */
  routes: readonly string[];
}
export type MatrixGroup = Routes & InOwnOperation & Elsewhere;

const inOwnOperation = (answer: (role: Role) => AnswerClass): InOwnOperation =>
  Object.fromEntries(ROLES.map((role) => [role, answer(role)])) as InOwnOperation;

/** What is answered where this act is asked for. */
const whoMay = (act: Act): InOwnOperation & Elsewhere => ({
  ...inOwnOperation((role) => (actsOf(role).includes(act) ? 'served' : 'refused')),
  readKey: act === 'read' ? 'served' : 'refused',
  other: 'hidden',
  ended: 'hidden',
  expiredKey: 'unknown',
  anonymous: 'unknown',
});

const ANYBODY: InOwnOperation & Elsewhere = {
  ...inOwnOperation(() => 'served'),
  other: 'served',
  ended: 'served',
  readKey: 'served',
  expiredKey: 'served',
  anonymous: 'served',
};
/** A key of an operation stays inside it; the exceptions are listed below. */
const ANYBODY_SIGNED_IN: InOwnOperation & Elsewhere = {
  ...ANYBODY,
  readKey: 'refused',
  expiredKey: 'unknown',
  anonymous: 'unknown',
};

/** What a key may ask outside its operation: who it is, and calculations, which touch no record. */
export const OPEN_TO_KEYS = /^\/v1\/(me$|calculations)/;

function answersTo(access: Access): InOwnOperation & Elsewhere {
  if (access === 'public') return ANYBODY;
  return access === 'signed-in' ? ANYBODY_SIGNED_IN : whoMay(access);
}

/** What is done in person only, soon after a secret was shown: keys, members, deletion and recovery. */
export const SECOND_LOOK: readonly string[] = [
  'acceptProposal',
  'addPasskeyByForm',
  'beginPasskey',
  'changeEmail',
  'changeEngagement',
  'changeMembership',
  'changeWebhook',
  'confirmDeletion',
  'confirmMembership',
  'createApiKey',
  'createPasskey',
  'createInvitation',
  'createPersonKey',
  'createWebhook',
  'endEngagement',
  'endMembership',
  'endPasskey',
  'endPasskeyByForm',
  'endWebhook',
  'exportOperation',
  'issueRecoveryToken',
  'offerEngagement',
  'requestDeletion',
  'revokeApiKey',
  'revokePersonKey',
  'rotateApiKey',
  'rotatePersonKey',
  'rotateWebhookSecret',
  'withdrawInvitation',
];

const ROUTES: readonly Routes[] = [
  {
    what: 'Before anybody is known: Account',
    access: 'public',
    routes: ['recoverByCode', 'recoverByToken'],
  },
  {
    what: 'Before anybody is known: People',
    access: 'public',
    routes: ['acceptInvitation'],
  },
  {
    what: 'Before anybody is known: Access',
    access: 'public',
    routes: ['signIn', 'refreshTokens', 'beginPasskeySignIn', 'signInByPasskey'],
  },
  {
    what: 'Before anybody is known: Health',
    access: 'public',
    routes: ['healthLive', 'healthReady'],
  },
  {
    what: "One's own account and business, and calculations without records: Account",
    access: 'signed-in',
    routes: [
      'changePassphrase',
      'takeSecondLook',
      'beginPasskey',
      'createPasskey',
      'listPasskeys',
      'getPasskey',
      'renamePasskey',
      'endPasskey',
      'beginPasskeyProof',
      'getEmail',
      'changeEmail',
      'askEmailLink',
      'proveEmail',
      'listSessions',
      'endSession',
      'listActivity',
      'makeRecoveryCodes',
      'getSecondFactor',
      'beginSecondFactor',
      'confirmSecondFactor',
      'removeSecondFactor',
      'createPersonKey',
      'listPersonKeys',
      'getPersonKey',
      'rotatePersonKey',
      'revokePersonKey',
    ],
  },
  {
    what: "One's own account and business, and calculations without records: Data rights",
    access: 'signed-in',
    routes: ['listErasedOperations'],
  },
  {
    what: "One's own account and business, and calculations without records: Engagements",
    access: 'signed-in',
    routes: [
      'listOwnEngagements',
      'getOwnEngagement',
      'findOffer',
      'findProposal',
      'declineProposal',
      'acceptEngagement',
      'declineEngagement',
      'endOwnEngagement',
      'getEngagementCopy',
      'createProposal',
      'listProposals',
      'getProposal',
      'closeProposal',
    ],
  },
  {
    what: "One's own account and business, and calculations without records: People",
    access: 'signed-in',
    routes: ['joinByInvitation'],
  },
  {
    what: "One's own account and business, and calculations without records: Access",
    access: 'signed-in',
    routes: ['signOut', 'getMe'],
  },
  {
    what: "One's own account and business, and calculations without records: Operations",
    access: 'signed-in',
    routes: ['createOperation', 'listOperations'],
  },
  {
    what: "One's own account and business, and calculations without records: Calculations",
    access: 'signed-in',
    routes: [
      'listCalculations',
      'calculateForageValue',
      'calculateRelativeForageQuality',
      'calculateEnergyFromTdn',
      'calculateTdnEstimate',
      'calculateDryMatterBasis',
      'calculateHayGrade',
      'calculateLabTestPlausibility',
      'calculateBookValues',
      'calculateNutrientPrice',
      'calculateNutrientPriceRanking',
      'calculateDeliveredCost',
      'calculateBreakEvenHayPrice',
      'calculateBaleWeight',
      'calculateNitrate',
      'calculateHayTestingCautions',
      'calculateRationNitrate',
      'calculateTetanyRatio',
      'calculateSulfurTotal',
      'calculateWaterQuality',
      'calculateStackTemperature',
      'calculateStackingMoisture',
      'calculateStoredHayCautions',
      'calculateLandedCost',
      'calculateScaleTicket',
      'calculateLoadWeight',
      'calculateStorageLosses',
      'calculateStorageLoss',
      'calculateFeedingWastes',
      'calculateFeedingWaste',
      'calculateFarmPriceValue',
      'calculateCostingReplay',
      'calculateHayNeed',
      'calculateHayOnHand',
      'calculateWasteComparison',
      'calculateHeadDays',
      'calculateHayBudget',
      'calculateDailyGain',
      'calculateGainOverTime',
      'calculateDaysToGain',
      'calculateHerdGain',
      'calculateCostOfGain',
      'calculateRationCostOfGain',
      'calculateFeedConversion',
      'calculateValueOfGain',
      'calculateBreakEvenSale',
      'calculateBreakEvenPurchase',
      'calculateAdjusted205DayWeight',
      'calculateShrink',
      'calculateTagNumber',
      'calculateRequirements',
      'calculateMaintenanceEnergy',
      'calculatePregnancyEnergy',
      'calculateMilk',
      'calculateGainEnergy',
      'calculateDryMatterIntake',
      'calculateProtein',
      'calculateMinerals',
      'calculateWaterIntake',
      'calculateColdStress',
      'calculateBodyCondition',
      'calculateActivityEnergy',
      'calculateEvaluateRation',
      'calculateLeastCostRation',
      'calculateLayerShares',
      'calculateLayerTemplates',
      'calculateHayDensities',
      'calculateLayingCautions',
      'calculateWholeBales',
      'calculateTwoSampleComparison',
      'calculateAnalysisOfCovariance',
      'calculateSampleSize',
      'calculatePlanTrial',
      'calculateDailyGainSpreads',
      'calculateAllocateTrial',
      'calculateJudgeTrial',
    ],
  },
  {
    what: "One's own account and business, and calculations without records: Portfolio",
    access: 'signed-in',
    routes: ['listPortfolioHerds'],
  },
  {
    what: "One's own account and business, and calculations without records: Accounting",
    access: 'signed-in',
    routes: ['getRollUp'],
  },
  {
    what: 'Pages of a browser, before anybody is known',
    access: 'public',
    routes: ['signInPage', 'signInByForm', 'signInByPasskeyForm'],
  },
  {
    what: 'Pages of a browser, over all operations of the person asking',
    access: 'signed-in',
    routes: [
      'startPage',
      'portfolioPage',
      'signOutByForm',
      'accountPage',
      'askEmailLinkByForm',
      'emailProofPage',
      'proveEmailByForm',
      'secondLookByForm',
      'addPasskeyByForm',
      'endPasskeyByForm',
    ],
  },
  {
    what: 'Pages of a browser, of one operation',
    access: 'read',
    routes: [
      'operationPage',
      'todayPage',
      'feedSheetPage',
      'trialPlanPage',
      'trialProtocolPage',
      'trialReportPage',
      'trialPicturePage',
      'hayBudgetPage',
      'hayLotPage',
      'lotCardPage',
      'rationReportPage',
    ],
  },
  {
    what: 'Pages of a browser, of one operation: what is done every day',
    access: 'daily',
    routes: [
      'fedForm',
      'fedByForm',
      'weighInForm',
      'weighInByForm',
      'waterForm',
      'waterByForm',
      'weatherForm',
      'weatherByForm',
    ],
  },
  {
    what: 'Pages of a browser, of one operation: what changes the books',
    access: 'records',
    routes: [
      'hayTicketForm',
      'hayTicketByForm',
      'hayTicketOfNewLotForm',
      'hayTicketOfNewLotByForm',
      'countForm',
      'countByForm',
      'headForm',
      'headByForm',
    ],
  },
  {
    what: 'Pages of a browser, of one operation, with money',
    access: 'prices',
    routes: ['hayPositionPage', 'closeoutPage', 'seasonCostPage', 'costOfGainPage', 'journalPage'],
  },
  {
    what: 'Reading records without money: Access',
    access: 'read',
    routes: ['createApiKey', 'listApiKeys', 'getApiKey', 'rotateApiKey', 'revokeApiKey'],
  },
  {
    what: 'Reading records without money: People',
    access: 'read',
    routes: ['listMemberships', 'getMembership', 'endMembership'],
  },
  {
    what: 'Reading records without money: Hay',
    access: 'read',
    routes: ['listHayLots', 'getHayLot', 'listHayLotMovements', 'listHayPurchases', 'getHayPurchase'],
  },
  {
    what: 'Reading records without money: Herds',
    access: 'read',
    routes: [
      'listHerds',
      'getHerd',
      'listHeadChanges',
      'listAllHeadChanges',
      'getHeadChange',
      'getHeadDays',
      'listHerdEvents',
      'getHerdEvent',
      'getHerdState',
    ],
  },
  {
    what: 'Reading records without money: Hay books',
    access: 'read',
    routes: [
      'listStockCounts',
      'getStockCount',
      'listHarvests',
      'getHarvest',
      'listConfirmedEntries',
      'listHayQuotes',
      'getHayQuote',
      'listHaySales',
      'getHaySale',
      'listHayTransfers',
      'getHayTransfer',
      'listLateCosts',
      'getLateCost',
      'listStorageShrinks',
      'getStorageShrink',
      'estimateStorageLoss',
      'listStorageMeasurements',
    ],
  },
  {
    what: 'Reading records without money: Feedings',
    access: 'read',
    routes: ['listFeedings', 'getFeeding'],
  },
  {
    what: 'Reading records without money: Lab tests',
    access: 'read',
    routes: ['listLabTests', 'getLabTest', 'getSamplingPlan'],
  },
  {
    what: 'Reading records without money: Costs',
    access: 'read',
    routes: ['listHerdCosts', 'getHerdCost'],
  },
  {
    what: 'Reading records without money: Hay observations',
    access: 'read',
    routes: ['listHayObservations', 'getHayObservation'],
  },
  {
    what: 'Reading records without money: Weights',
    access: 'read',
    routes: ['listWeighIns', 'getWeighIn', 'getDayWeights'],
  },
  {
    what: 'Reading records without money: Import',
    access: 'read',
    routes: [
      'exportIcarWeights',
      'listImports',
      'getImport',
      'listImportedRecords',
      'listImportMappings',
      'getImportMapping',
      'getImportColumns',
      'getImportSample',
    ],
  },
  {
    what: 'Reading records without money: Operations',
    access: 'read',
    routes: ['getOperation'],
  },
  {
    what: 'Reading records without money: Ranches and places',
    access: 'read',
    routes: ['listRanches', 'getRanch', 'listPlaces', 'getPlace'],
  },
  {
    what: 'Reading records without money: Weather and water',
    access: 'read',
    routes: ['listWaterChecks', 'getWaterCheck', 'listWeatherDays', 'getWeatherDay'],
  },
  {
    what: 'Reading records without money: Trials',
    access: 'read',
    routes: [
      'listTrials',
      'getTrial',
      'listTrialDraws',
      'getTrialDraw',
      'listTrialEvents',
      'getTrialEvent',
      'getTrialRun',
      'listTrialJudgements',
      'getTrialPlan',
      'getTrialProtocol',
      'getTrialJudgement',
      'getTrialPicture',
    ],
  },
  {
    what: 'Reading records without money: Rations',
    access: 'read',
    routes: [
      'listLayerTemplates',
      'getLayerTemplate',
      'listRations',
      'getRation',
      'getRationInUse',
      'createRationNote',
      'listRationNotes',
      'getRationEvaluation',
      'getRationDrift',
      'getHerdRequirements',
      'listRationReviews',
      'getRationReview',
      'getSeasonRationPlan',
    ],
  },
  {
    what: 'Reading records without money: Feed sheets',
    access: 'read',
    routes: ['getFeedSheet', 'listFeedSheetConfirmations', 'getFeedSheetConfirmation'],
  },
  {
    what: 'Reading records without money: Reports',
    access: 'read',
    routes: ['getHayBalances', 'getLotCard', 'listHayMovements', 'getChanges'],
  },
  {
    what: 'Reading records without money: Accounting',
    access: 'read',
    routes: ['listClosings', 'getClosing'],
  },
  {
    what: 'Reading records without money: Hay budget',
    access: 'read',
    routes: [
      'getHayBudget',
      'listHayBudgetPlans',
      'getHayBudgetPlan',
      'getHayBudgetOfPlan',
      'getHayForecast',
      'tryHayBudget',
    ],
  },
  {
    what: 'Reading money: Costs',
    access: 'prices',
    routes: ['listYardageRates', 'getYardageRate', 'listBudgetEntries', 'getBudgetEntry'],
  },
  {
    what: 'Reading money: Accounting',
    access: 'prices',
    routes: [
      'getAccountMap',
      'getClosedReport',
      'getCattleJournal',
      'getJournal',
      'getTrialBalance',
      'getCostVariances',
      'getGeneralLedger',
      'getTieOut',
    ],
  },
  {
    what: 'Reading money: Reports',
    access: 'prices',
    routes: [
      'getFeedConversion',
      'getCostOfGain',
      'getHayPosition',
      'getHerdCloseout',
      'getHerdCloseouts',
      'getSeasonCost',
      'getInventoryRollForward',
      'getYearEndInventory',
      'getBudgetAgainstActual',
    ],
  },
  {
    what: 'Writing down the day: feedings, weights, checks: Feedings',
    access: 'daily',
    routes: ['createFeeding', 'reverseFeeding', 'correctFeeding'],
  },
  {
    what: 'Writing down the day: feedings, weights, checks: Weights',
    access: 'daily',
    routes: ['createWeighIn', 'correctWeighIn', 'reverseWeighIn'],
  },
  {
    what: 'Writing down the day: feedings, weights, checks: Herds',
    access: 'daily',
    routes: ['createHerdEvent', 'correctHerdEvent', 'reverseHerdEvent'],
  },
  {
    what: 'Writing down the day: feedings, weights, checks: Hay observations',
    access: 'daily',
    routes: ['createHayObservation', 'reverseHayObservation'],
  },
  {
    what: 'Writing down the day: feedings, weights, checks: Import',
    access: 'daily',
    routes: [
      'importIcarWeights',
      'checkImportOfFeedings',
      'importFeedings',
      'checkImportOfAnimalWeights',
      'importAnimalWeights',
      'checkImportOfGroupWeights',
      'importGroupWeights',
      'checkImportOfHerdEvents',
      'importHerdEvents',
      'checkImportOfHayObservations',
      'importHayObservations',
      'reverseImport',
      'createImportMapping',
      'endImportMapping',
    ],
  },
  {
    what: 'Writing down the day: feedings, weights, checks: Weather and water',
    access: 'daily',
    routes: ['createWaterCheck', 'reverseWaterCheck', 'createWeatherDay', 'reverseWeatherDay'],
  },
  {
    what: 'Writing down the day: feedings, weights, checks: Trials',
    access: 'daily',
    routes: ['createTrialEvent', 'reverseTrialEvent'],
  },
  {
    what: 'Writing down the day: feedings, weights, checks: Feed sheets',
    access: 'daily',
    routes: ['confirmFeedSheet'],
  },
  {
    what: 'Writing the hay books, herds and tests: Hay',
    access: 'records',
    routes: ['changeHayLot', 'createHayPurchase', 'reverseHayPurchase', 'correctHayPurchase'],
  },
  {
    what: 'Writing the hay books, herds and tests: Herds',
    access: 'records',
    routes: [
      'createHerd',
      'changeHerd',
      'createHeadChange',
      'priceHeadChange',
      'correctHeadChange',
      'reverseHeadChange',
    ],
  },
  {
    what: 'Writing the hay books, herds and tests: Hay books',
    access: 'records',
    routes: [
      'createStockCount',
      'reverseStockCount',
      'correctStockCount',
      'createHarvest',
      'reverseHarvest',
      'correctHarvest',
      'createHayQuote',
      'reverseHayQuote',
      'purchaseFromHayQuote',
      'createHaySale',
      'reverseHaySale',
      'correctHaySale',
      'createHayTransfer',
      'reverseHayTransfer',
      'correctHayTransfer',
      'createLateCost',
      'reverseLateCost',
      'correctLateCost',
      'createStorageShrink',
      'reverseStorageShrink',
      'correctStorageShrink',
      'createStorageMeasurement',
      'withdrawStorageMeasurement',
    ],
  },
  {
    what: 'Writing the hay books, herds and tests: Lab tests',
    access: 'records',
    routes: ['createLabTest', 'withdrawLabTest'],
  },
  {
    what: 'Writing the hay books, herds and tests: Import',
    access: 'records',
    routes: [
      'checkImportOfHayTickets',
      'importHayTickets',
      'checkImportOfLabTests',
      'importLabTests',
      'checkImportOfHeadChanges',
      'importHeadChanges',
      'checkImportOfHarvests',
      'importHarvests',
      'checkImportOfHaySales',
      'importHaySales',
      'checkImportOfHayTransfers',
      'importHayTransfers',
      'checkImportOfStockCounts',
      'importStockCounts',
      'checkImportOfLateCosts',
      'importLateCosts',
      'checkImportOfYardageRates',
      'importYardageRates',
    ],
  },
  {
    what: 'Writing the hay books, herds and tests: Ranches and places',
    access: 'records',
    routes: ['createRanch', 'changeRanch', 'createPlace', 'changePlace'],
  },
  {
    what: 'Writing the hay books, herds and tests: Costs',
    access: 'records',
    routes: ['createYardageRate', 'reverseYardageRate', 'createHerdCost', 'correctHerdCost', 'reverseHerdCost'],
  },
  {
    what: 'Writing the hay books, herds and tests: Rations',
    access: 'records',
    routes: ['returnRation', 'acceptRation', 'useRation', 'endRation'],
  },
  {
    what: 'Writing the hay books, herds and tests: Hay budget',
    access: 'records',
    routes: ['createHayBudgetPlan'],
  },
  {
    what: "The nutritionist's desk: Trials",
    access: 'desk',
    routes: ['createTrial', 'changeTrial', 'beginTrial', 'amendTrial', 'closeTrial', 'drawTrialArms', 'judgeTrial'],
  },
  {
    what: "The nutritionist's desk: Rations",
    access: 'desk',
    routes: [
      'createLayerTemplate',
      'changeLayerTemplate',
      'createRation',
      'changeRation',
      'proposeRation',
      'withdrawRation',
      'evaluateUnsavedRation',
      'judgeWhatIf',
      'solveLeastCostRation',
    ],
  },
  {
    what: "The accountant's office: Accounting",
    access: 'office',
    routes: ['changeAccountMap', 'closeBooks', 'reopenBooks'],
  },
  {
    what: 'What the office does: Costs',
    access: 'office',
    routes: ['createBudgetEntry'],
  },
  {
    what: "The accountant's office: Webhooks",
    access: 'office',
    routes: [
      'listWebhooks',
      'getWebhook',
      'testWebhook',
      'listWebhookDeliveries',
      'getWebhookDelivery',
      'sendWebhookAgain',
    ],
  },
  {
    what: 'What only an owner may do: Webhooks',
    access: 'own',
    routes: ['createWebhook', 'changeWebhook', 'rotateWebhookSecret', 'endWebhook'],
  },
  {
    what: 'What only an owner may do: Audit',
    access: 'own',
    routes: ['listAudit', 'exportAudit', 'verifyAudit', 'listDeniedAttempts'],
  },
  {
    what: 'What only an owner may do: Data rights',
    access: 'own',
    routes: ['exportOperation', 'requestDeletion', 'getDeletion', 'cancelDeletion', 'confirmDeletion'],
  },
  {
    what: 'What only an owner may do: Engagements',
    access: 'own',
    routes: [
      'offerEngagement',
      'acceptProposal',
      'listEngagements',
      'getEngagement',
      'changeEngagement',
      'endEngagement',
    ],
  },
  {
    what: 'What only an owner may do: People',
    access: 'own',
    routes: [
      'createInvitation',
      'listInvitations',
      'getInvitation',
      'withdrawInvitation',
      'getMembershipHistory',
      'changeMembership',
      'confirmMembership',
      'issueRecoveryToken',
    ],
  },
  {
    what: 'What only an owner may do: Operations',
    access: 'own',
    routes: ['changeOperation'],
  },
];

export const ACCESS_MATRIX: readonly MatrixGroup[] = ROUTES.map((group) => ({ ...group, ...answersTo(group.access) }));
