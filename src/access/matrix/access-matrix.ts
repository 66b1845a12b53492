import type { Access } from '../../platform/http/act.js';

/**
 * Who may do what, said once more and by hand, to be read by a person: for every route, what each role is answered in its own operation,
 * and what everybody else is. test/catalogue/matrix.test.ts asks the running server all of it and fails on a route that has no row here.
 *
 * served   the request gets past the door; what follows depends on what it says
 * refused  403: a member, but the role or the key does not reach
 * hidden   404: there is no such operation, in the words of one that never was
 * unknown  401: no good token or key came with it
 */
export type AnswerClass = 'served' | 'refused' | 'hidden' | 'unknown';

export type MatrixRole = 'owner' | 'manager' | 'hand' | 'nutritionist' | 'accountant';

/** In the own operation. The five roles as domain.md has them; a hand never sees prices, the others here do. */
type InOwnOperation = Record<MatrixRole, AnswerClass>;

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

export interface MatrixGroup extends InOwnOperation, Elsewhere {
  what: string;
  access: Access;
  /** The operationId of each route in the API description, and of each page. */
  routes: readonly string[];
}

const INSIDE = { other: 'hidden', ended: 'hidden', expiredKey: 'unknown', anonymous: 'unknown' } as const;

const ANYBODY = { owner: 'served', manager: 'served', hand: 'served', nutritionist: 'served', accountant: 'served', other: 'served', ended: 'served', readKey: 'served', expiredKey: 'served', anonymous: 'served' } as const;
/** A key of an operation stays inside it; the exceptions are listed below. */
const ANYBODY_SIGNED_IN = { ...ANYBODY, readKey: 'refused', expiredKey: 'unknown', anonymous: 'unknown' } as const;
const EVERY_MEMBER = { owner: 'served', manager: 'served', hand: 'served', nutritionist: 'served', accountant: 'served', readKey: 'served', ...INSIDE } as const;
const WHO_SEES_PRICES = { owner: 'served', manager: 'served', hand: 'refused', nutritionist: 'served', accountant: 'served', readKey: 'refused', ...INSIDE } as const;
const WHO_FEEDS = { owner: 'served', manager: 'served', hand: 'served', nutritionist: 'refused', accountant: 'refused', readKey: 'refused', ...INSIDE } as const;
const WHO_KEEPS_RECORDS = { owner: 'served', manager: 'served', hand: 'refused', nutritionist: 'refused', accountant: 'refused', readKey: 'refused', ...INSIDE } as const;
const THE_DESK = { owner: 'served', manager: 'refused', hand: 'refused', nutritionist: 'served', accountant: 'refused', readKey: 'refused', ...INSIDE } as const;
const THE_OFFICE = { owner: 'served', manager: 'refused', hand: 'refused', nutritionist: 'refused', accountant: 'served', readKey: 'refused', ...INSIDE } as const;
const OWNERS = { owner: 'served', manager: 'refused', hand: 'refused', nutritionist: 'refused', accountant: 'refused', readKey: 'refused', ...INSIDE } as const;

/** What a key may ask outside its operation: who it is, and calculations, which touch no record. */
export const OPEN_TO_KEYS = /^\/v1\/(me$|calculations)/;

export const ACCESS_MATRIX: readonly MatrixGroup[] = [
  {
    what: 'Before anybody is known: Account', access: 'public', ...ANYBODY,
    routes: [
      'recoverByCode', 'recoverByToken',
    ],
  },
  {
    what: 'Before anybody is known: People', access: 'public', ...ANYBODY,
    routes: [
      'acceptInvitation',
    ],
  },
  {
    what: 'Before anybody is known: Access', access: 'public', ...ANYBODY,
    routes: [
      'signIn', 'refreshTokens',
    ],
  },
  {
    what: 'Before anybody is known: Health', access: 'public', ...ANYBODY,
    routes: [
      'healthLive', 'healthReady',
    ],
  },
  {
    what: 'One\'s own account and business, and calculations without records: Account', access: 'signed-in', ...ANYBODY_SIGNED_IN,
    routes: [
      'changePassphrase', 'listSessions', 'endSession', 'makeRecoveryCodes', 'getSecondFactor', 'beginSecondFactor', 'confirmSecondFactor', 'removeSecondFactor',
      'createPersonKey', 'listPersonKeys', 'getPersonKey', 'rotatePersonKey', 'revokePersonKey',
    ],
  },
  {
    what: 'One\'s own account and business, and calculations without records: Data rights', access: 'signed-in', ...ANYBODY_SIGNED_IN,
    routes: [
      'listErasedOperations',
    ],
  },
  {
    what: 'One\'s own account and business, and calculations without records: Engagements', access: 'signed-in', ...ANYBODY_SIGNED_IN,
    routes: [
      'listOwnEngagements', 'getOwnEngagement', 'acceptEngagement', 'declineEngagement', 'endOwnEngagement', 'getEngagementCopy', 'createProposal', 'listProposals',
      'getProposal', 'closeProposal',
    ],
  },
  {
    what: 'One\'s own account and business, and calculations without records: People', access: 'signed-in', ...ANYBODY_SIGNED_IN,
    routes: [
      'joinByInvitation',
    ],
  },
  {
    what: 'One\'s own account and business, and calculations without records: Access', access: 'signed-in', ...ANYBODY_SIGNED_IN,
    routes: [
      'signOut', 'getMe',
    ],
  },
  {
    what: 'One\'s own account and business, and calculations without records: Operations', access: 'signed-in', ...ANYBODY_SIGNED_IN,
    routes: [
      'createOperation', 'listOperations',
    ],
  },
  {
    what: 'One\'s own account and business, and calculations without records: Calculations', access: 'signed-in', ...ANYBODY_SIGNED_IN,
    routes: [
      'listCalculations', 'calculateForageValue', 'calculateRelativeForageQuality', 'calculateEnergyFromTdn', 'calculateTdnEstimate', 'calculateDryMatterBasis',
      'calculateHayGrade', 'calculateLabTestPlausibility', 'calculateBookValues', 'calculateNutrientPrice', 'calculateNutrientPriceRanking', 'calculateDeliveredCost',
      'calculateBreakEvenHayPrice', 'calculateBaleWeight', 'calculateNitrate', 'calculateHayTestingCautions', 'calculateRationNitrate', 'calculateTetanyRatio',
      'calculateSulfurTotal', 'calculateWaterQuality', 'calculateStackTemperature', 'calculateStackingMoisture', 'calculateStoredHayCautions', 'calculateLandedCost',
      'calculateScaleTicket', 'calculateLoadWeight', 'calculateStorageLosses', 'calculateStorageLoss', 'calculateFeedingWastes', 'calculateFeedingWaste',
      'calculateFarmPriceValue', 'calculateCostingReplay', 'calculateHayNeed', 'calculateHayOnHand', 'calculateWasteComparison', 'calculateHeadDays',
      'calculateHayBudget', 'calculateDailyGain', 'calculateGainOverTime', 'calculateDaysToGain', 'calculateHerdGain', 'calculateCostOfGain', 'calculateRationCostOfGain',
      'calculateFeedConversion', 'calculateValueOfGain', 'calculateBreakEvenSale', 'calculateBreakEvenPurchase', 'calculateAdjusted205DayWeight', 'calculateShrink',
      'calculateTagNumber', 'calculateRequirements', 'calculateMaintenanceEnergy', 'calculatePregnancyEnergy', 'calculateMilk', 'calculateGainEnergy',
      'calculateDryMatterIntake', 'calculateProtein', 'calculateMinerals', 'calculateWaterIntake', 'calculateColdStress', 'calculateBodyCondition',
      'calculateActivityEnergy', 'calculateEvaluateRation', 'calculateLeastCostRation', 'calculateLayerShares', 'calculateLayerTemplates', 'calculateHayDensities',
      'calculateLayingCautions', 'calculateWholeBales', 'calculateTwoSampleComparison', 'calculateAnalysisOfCovariance', 'calculateSampleSize', 'calculatePlanTrial',
      'calculateDailyGainSpreads', 'calculateAllocateTrial', 'calculateJudgeTrial',
    ],
  },
  {
    what: 'One\'s own account and business, and calculations without records: Portfolio', access: 'signed-in', ...ANYBODY_SIGNED_IN,
    routes: [
      'listPortfolioHerds',
    ],
  },
  {
    what: 'Pages of a browser, before anybody is known', access: 'public', ...ANYBODY,
    routes: [
      'signInPage', 'signInByForm',
    ],
  },
  {
    what: 'Pages of a browser, over all operations of the one asking', access: 'signed-in', ...ANYBODY_SIGNED_IN,
    routes: [
      'startPage', 'portfolioPage', 'signOutByForm',
    ],
  },
  {
    what: 'Pages of a browser, of one operation', access: 'read', ...EVERY_MEMBER,
    routes: [
      'operationPage', 'feedSheetPage', 'trialPlanPage', 'trialProtocolPage', 'trialReportPage', 'trialPicturePage', 'hayBudgetPage',
    ],
  },
  {
    what: 'Pages of a browser, of one operation, with money', access: 'prices', ...WHO_SEES_PRICES,
    routes: [
      'hayPositionPage',
    ],
  },
  {
    what: 'Reading records without money: Access', access: 'read', ...EVERY_MEMBER,
    routes: [
      'createApiKey', 'listApiKeys', 'getApiKey', 'rotateApiKey', 'revokeApiKey',
    ],
  },
  {
    what: 'Reading records without money: People', access: 'read', ...EVERY_MEMBER,
    routes: [
      'listMemberships', 'getMembership', 'endMembership',
    ],
  },
  {
    what: 'Reading records without money: Hay', access: 'read', ...EVERY_MEMBER,
    routes: [
      'listHayLots', 'getHayLot', 'listHayLotMovements', 'listHayPurchases', 'getHayPurchase',
    ],
  },
  {
    what: 'Reading records without money: Herds', access: 'read', ...EVERY_MEMBER,
    routes: [
      'listHerds', 'getHerd', 'listHeadChanges', 'getHeadChange', 'getHeadDays',
    ],
  },
  {
    what: 'Reading records without money: Hay books', access: 'read', ...EVERY_MEMBER,
    routes: [
      'listStockCounts', 'getStockCount', 'listHarvests', 'getHarvest', 'listHayQuotes', 'getHayQuote', 'listHaySales', 'getHaySale', 'listHayTransfers',
      'getHayTransfer', 'listLateCosts', 'getLateCost', 'listStorageShrinks', 'getStorageShrink', 'estimateStorageLoss', 'listStorageMeasurements',
    ],
  },
  {
    what: 'Reading records without money: Feedings', access: 'read', ...EVERY_MEMBER,
    routes: [
      'listFeedings', 'getFeeding',
    ],
  },
  {
    what: 'Reading records without money: Lab tests', access: 'read', ...EVERY_MEMBER,
    routes: [
      'listLabTests', 'getLabTest',
    ],
  },
  {
    what: 'Reading records without money: Weights', access: 'read', ...EVERY_MEMBER,
    routes: [
      'listWeighIns', 'getWeighIn', 'getDayWeights',
    ],
  },
  {
    what: 'Reading records without money: Import', access: 'read', ...EVERY_MEMBER,
    routes: [
      'exportIcarWeights', 'listImports', 'getImport', 'listImportedRecords', 'getImportColumns', 'getImportSample',
    ],
  },
  {
    what: 'Reading records without money: Operations', access: 'read', ...EVERY_MEMBER,
    routes: [
      'getOperation',
    ],
  },
  {
    what: 'Reading records without money: Ranches and places', access: 'read', ...EVERY_MEMBER,
    routes: [
      'listRanches', 'getRanch', 'listPlaces', 'getPlace',
    ],
  },
  {
    what: 'Reading records without money: Weather and water', access: 'read', ...EVERY_MEMBER,
    routes: [
      'listWaterChecks', 'getWaterCheck', 'listWeatherDays', 'getWeatherDay',
    ],
  },
  {
    what: 'Reading records without money: Trials', access: 'read', ...EVERY_MEMBER,
    routes: [
      'listTrials', 'getTrial', 'listTrialDraws', 'getTrialDraw', 'listTrialEvents', 'getTrialEvent', 'getTrialRun', 'listTrialJudgements', 'getTrialPlan',
      'getTrialProtocol', 'getTrialJudgement', 'getTrialPicture',
    ],
  },
  {
    what: 'Reading records without money: Rations', access: 'read', ...EVERY_MEMBER,
    routes: [
      'listLayerTemplates', 'getLayerTemplate', 'listRations', 'getRation', 'getRationInUse', 'createRationNote', 'listRationNotes', 'getRationEvaluation',
      'getRationDrift', 'getHerdRequirements', 'listRationReviews', 'getRationReview',
    ],
  },
  {
    what: 'Reading records without money: Feed sheets', access: 'read', ...EVERY_MEMBER,
    routes: [
      'getFeedSheet', 'listFeedSheetConfirmations', 'getFeedSheetConfirmation',
    ],
  },
  {
    what: 'Reading records without money: Reports', access: 'read', ...EVERY_MEMBER,
    routes: [
      'getHayBalances', 'getLotCard', 'exportMovements',
    ],
  },
  {
    what: 'Reading records without money: Accounting', access: 'read', ...EVERY_MEMBER,
    routes: [
      'listClosings', 'getClosing',
    ],
  },
  {
    what: 'Reading records without money: Hay budget', access: 'read', ...EVERY_MEMBER,
    routes: [
      'getHayBudget', 'listHayBudgetPlans', 'getHayBudgetPlan', 'getHayBudgetOfPlan', 'getHayForecast', 'tryHayBudget',
    ],
  },
  {
    what: 'Reading money: Costs', access: 'prices', ...WHO_SEES_PRICES,
    routes: [
      'listYardageRates', 'getYardageRate',
    ],
  },
  {
    what: 'Reading money: Accounting', access: 'prices', ...WHO_SEES_PRICES,
    routes: [
      'getAccountMap', 'getClosedReport', 'getJournal', 'getTrialBalance', 'getCostVariances', 'exportJournal',
    ],
  },
  {
    what: 'Reading money: Reports', access: 'prices', ...WHO_SEES_PRICES,
    routes: [
      'getFeedConversion', 'getCostOfGain', 'getHayPosition', 'getSeasonCost',
    ],
  },
  {
    what: 'Writing down the day: feedings, weights, checks: Feedings', access: 'daily', ...WHO_FEEDS,
    routes: [
      'createFeeding', 'reverseFeeding',
    ],
  },
  {
    what: 'Writing down the day: feedings, weights, checks: Weights', access: 'daily', ...WHO_FEEDS,
    routes: [
      'createWeighIn', 'reverseWeighIn',
    ],
  },
  {
    what: 'Writing down the day: feedings, weights, checks: Import', access: 'daily', ...WHO_FEEDS,
    routes: [
      'importIcarWeights', 'checkImportOfFeedings', 'importFeedings', 'checkImportOfAnimalWeights', 'importAnimalWeights', 'checkImportOfGroupWeights',
      'importGroupWeights',
    ],
  },
  {
    what: 'Writing down the day: feedings, weights, checks: Weather and water', access: 'daily', ...WHO_FEEDS,
    routes: [
      'createWaterCheck', 'reverseWaterCheck', 'createWeatherDay', 'reverseWeatherDay',
    ],
  },
  {
    what: 'Writing down the day: feedings, weights, checks: Trials', access: 'daily', ...WHO_FEEDS,
    routes: [
      'createTrialEvent', 'reverseTrialEvent',
    ],
  },
  {
    what: 'Writing down the day: feedings, weights, checks: Feed sheets', access: 'daily', ...WHO_FEEDS,
    routes: [
      'confirmFeedSheet',
    ],
  },
  {
    what: 'Writing the hay books, herds and tests: Hay', access: 'records', ...WHO_KEEPS_RECORDS,
    routes: [
      'changeHayLot', 'createHayPurchase', 'reverseHayPurchase',
    ],
  },
  {
    what: 'Writing the hay books, herds and tests: Herds', access: 'records', ...WHO_KEEPS_RECORDS,
    routes: [
      'createHerd', 'changeHerd', 'createHeadChange', 'reverseHeadChange',
    ],
  },
  {
    what: 'Writing the hay books, herds and tests: Hay books', access: 'records', ...WHO_KEEPS_RECORDS,
    routes: [
      'createStockCount', 'reverseStockCount', 'createHarvest', 'reverseHarvest', 'createHayQuote', 'reverseHayQuote', 'purchaseFromHayQuote', 'createHaySale',
      'reverseHaySale', 'createHayTransfer', 'reverseHayTransfer', 'createLateCost', 'reverseLateCost', 'createStorageShrink', 'reverseStorageShrink',
      'createStorageMeasurement', 'withdrawStorageMeasurement',
    ],
  },
  {
    what: 'Writing the hay books, herds and tests: Lab tests', access: 'records', ...WHO_KEEPS_RECORDS,
    routes: [
      'createLabTest', 'withdrawLabTest',
    ],
  },
  {
    what: 'Writing the hay books, herds and tests: Import', access: 'records', ...WHO_KEEPS_RECORDS,
    routes: [
      'checkImportOfHayTickets', 'importHayTickets', 'checkImportOfLabTests', 'importLabTests', 'checkImportOfHeadChanges', 'importHeadChanges',
    ],
  },
  {
    what: 'Writing the hay books, herds and tests: Ranches and places', access: 'records', ...WHO_KEEPS_RECORDS,
    routes: [
      'createRanch', 'changeRanch', 'createPlace', 'changePlace',
    ],
  },
  {
    what: 'Writing the hay books, herds and tests: Costs', access: 'records', ...WHO_KEEPS_RECORDS,
    routes: [
      'createYardageRate',
    ],
  },
  {
    what: 'Writing the hay books, herds and tests: Rations', access: 'records', ...WHO_KEEPS_RECORDS,
    routes: [
      'returnRation', 'acceptRation', 'useRation', 'endRation',
    ],
  },
  {
    what: 'Writing the hay books, herds and tests: Hay budget', access: 'records', ...WHO_KEEPS_RECORDS,
    routes: [
      'createHayBudgetPlan',
    ],
  },
  {
    what: 'The nutritionist\'s desk: Trials', access: 'desk', ...THE_DESK,
    routes: [
      'createTrial', 'changeTrial', 'beginTrial', 'amendTrial', 'closeTrial', 'drawTrialArms', 'judgeTrial',
    ],
  },
  {
    what: 'The nutritionist\'s desk: Rations', access: 'desk', ...THE_DESK,
    routes: [
      'createLayerTemplate', 'changeLayerTemplate', 'createRation', 'changeRation', 'proposeRation', 'withdrawRation', 'evaluateUnsavedRation', 'solveLeastCostRation',
    ],
  },
  {
    what: 'The accountant\'s office: Accounting', access: 'office', ...THE_OFFICE,
    routes: [
      'changeAccountMap', 'closeBooks', 'reopenBooks',
    ],
  },
  {
    what: 'What only an owner may do: Audit', access: 'own', ...OWNERS,
    routes: [
      'listAudit', 'exportAudit', 'verifyAudit', 'listDeniedAttempts',
    ],
  },
  {
    what: 'What only an owner may do: Data rights', access: 'own', ...OWNERS,
    routes: [
      'exportOperation', 'requestDeletion', 'getDeletion', 'cancelDeletion', 'confirmDeletion',
    ],
  },
  {
    what: 'What only an owner may do: Engagements', access: 'own', ...OWNERS,
    routes: [
      'offerEngagement', 'acceptProposal', 'listEngagements', 'getEngagement', 'changeEngagement', 'endEngagement',
    ],
  },
  {
    what: 'What only an owner may do: People', access: 'own', ...OWNERS,
    routes: [
      'createInvitation', 'listInvitations', 'getInvitation', 'withdrawInvitation', 'getMembershipHistory', 'changeMembership', 'issueRecoveryToken',
    ],
  },
  {
    what: 'What only an owner may do: Operations', access: 'own', ...OWNERS,
    routes: [
      'changeOperation',
    ],
  },
];
