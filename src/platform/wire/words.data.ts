/**
 * Words that are stored but that no formula uses: each list is the enumeration in requests and answers, the type of a
 * column and what the database admits to it (platform/database/column-words.ts says which column holds which list).
 * Words that the core computes with are listed in the core.
 */

// ───────── access ─────────
export const KEY_SCOPES = ['read', 'prices', 'records', 'daily', 'desk', 'office'] as const;
export const PERSON_KEY_SCOPES = ['read', 'prices', 'desk'] as const;
export const SESSION_ENDS = [
  'signed out',
  'signed out everywhere',
  'ended by its person',
  'passphrase changed',
  'passphrase recovered',
  'second factor set up',
  'refresh token used twice',
] as const;
/** Attempts on an account that failed. */
export const ACCOUNT_FAILURES = [
  'sign-in-failed',
  'second-factor-failed',
  'refresh-failed',
  'wrong-passphrase-failed',
  'recovery-failed',
  'passkey-failed',
] as const;
/** What the person of an account should look at: whoever takes it over does one of these. */
export const ACCOUNT_NOTICES = [
  ...ACCOUNT_FAILURES,
  'signed-in-from-new-address',
  'passphrase-changed',
  'second-factor-added',
  'second-factor-removed',
  'recovery-codes-made',
  'recovery-code-used',
  'key-made',
  'key-ended',
  'email-changed',
  'email-proven',
  'passkey-added',
  'passkey-ended',
  'passkey-count-fell',
] as const;
export const ACCOUNT_EVENTS = [...ACCOUNT_NOTICES, 'signed-in'] as const;
/** How a browser reaches what keeps a passkey (WebAuthn Level 3, 5.8.4, AuthenticatorTransport). */
export const PASSKEY_TRANSPORTS = ['usb', 'nfc', 'ble', 'smart-card', 'hybrid', 'internal'] as const;
export const MEMBERSHIP_CHANGES = ['begun', 'changed', 'ended'] as const;
/** The two sides of an engagement of a consultant. */
export const ENGAGEMENT_SIDES = ['operation', 'consultant'] as const;
export const ENGAGEMENT_STATES = ['offered', 'unconfirmed', 'accepted', 'declined', 'withdrawn', 'ended'] as const;
/** What a consultant keeps after an engagement. */
export const AFTER_ENGAGEMENT = ['history', 'nothing'] as const;
export const PROPOSAL_STATES = ['open', 'accepted', 'declined', 'withdrawn'] as const;

// ───────── webhooks ─────────
/** What a webhook may ask to be told of: types of its messages (Standard Webhooks: parts with full stops between). */
export const WEBHOOK_HAPPENINGS = [
  'books.closed',
  'books.reopened',
  'entries.corrected',
  'late_cost.entered',
  'hay.low',
] as const;
/** And what it is told because somebody tries it. */
export const WEBHOOK_KINDS = [...WEBHOOK_HAPPENINGS, 'webhook.tested'] as const;
export const WEBHOOK_STATES = ['active', 'paused', 'ended'] as const;
export const WEBHOOK_ENDS = ['by-owner', 'receiver-gone'] as const;
/** Dead: given up after the last attempt, or because the webhook ended. */
export const DELIVERY_STATES = ['waiting', 'delivered', 'dead'] as const;

// ───────── the yard ─────────
export const PLACE_KINDS = ['pen', 'bunk-line', 'pasture', 'stackyard', 'barn', 'other'] as const;
export const WATER_STATES = ['open', 'partly-frozen', 'frozen'] as const;

// ───────── cattle ─────────
/** What a person enters about the head of a herd. */
export const HEAD_CHANGE_KINDS = ['in', 'out', 'death', 'sale', 'move'] as const;
/** What is recorded: a move is two entries, one on each side. */
export const RECORDED_HEAD_CHANGES = ['in', 'out', 'death', 'sale', 'move-in', 'move-out', 'reversal'] as const;
/** Whether money for cattle changed hands, or a value was stated (cattle moved, or raised). */
export const HEAD_MONEY = ['paid', 'valued'] as const;
/** What a herd costs besides hay, other feed and yardage. */
export const HERD_COST_KINDS = [
  'veterinary',
  'processing',
  'death-disposal',
  'trucking',
  'commission',
  'pasture',
  'insurance',
  'other',
] as const;
export const WEIGH_IN_SCOPES = ['group', 'animal'] as const;
export const WEIGHING_FILLS = ['full', 'shrunk'] as const;
export const WEIGHED_MEASURES = ['total', 'mean'] as const;

// ───────── hay ─────────
export const FEED_CATEGORIES = ['hay', 'other'] as const;
export const LOT_ORIGINS = ['purchased', 'raised'] as const;
export const BALE_FORMS = ['round', 'large-square', 'small-square', 'loose'] as const;
export const STORAGE_METHODS = [
  'under-roof',
  'tarp',
  'outdoors-on-gravel-or-pallets',
  'outdoors-on-ground',
  'plastic-wrap',
] as const;
export const WEIGHT_BASES = ['scale-ticket', 'net', 'weighed-bales'] as const;
export const PRICE_BASES = ['per-mass', 'per-bale', 'lump-sum'] as const;
export const STOCK_COST_KINDS = ['price', 'freight', 'charges', 'production', 'late-freight', 'late-charges'] as const;
export const LAB_TEST_METHODS = ['wet-chemistry', 'near-infrared', 'label'] as const;
export const STOCK_TREATMENTS = ['into-unit-cost', 'expense'] as const;
export const SHRINK_BASES = ['weighed', 'estimated'] as const;
export const LATE_COSTS_OWED = ['freight', 'charges'] as const;
export const FEEDING_METHODS = [
  'bunk',
  'windrow-on-ground',
  'ring-feeder',
  'cone-feeder',
  'trailer-feeder',
  'unrolled-on-ground',
  'other',
] as const;

// ───────── imports ─────────
export const IMPORT_KINDS = [
  'hay-tickets',
  'lab-tests',
  'feedings',
  'animal-weights',
  'group-weights',
  'head-changes',
  'herd-events',
  'hay-observations',
  'harvests',
  'hay-sales',
  'hay-transfers',
  'stock-counts',
  'late-costs',
  'yardage-rates',
] as const;
/** Whether month or day comes first in 11/12/2025, and what stands before the decimals of a figure. */
export const DAY_ORDERS = ['month-first', 'day-first'] as const;
export const DECIMAL_MARKS = ['point', 'comma'] as const;
export const IMPORT_STATES = ['running', 'done', 'refused', 'broken-off'] as const;

// ───────── the desk ─────────
/** Amounts of hay are given as fed or as dry matter. */
export const AMOUNT_BASES = ['as-fed', 'dry-matter'] as const;
/** The stored state of a ration; in use and superseded follow from its days. */
export const RATION_STATES = ['draft', 'proposed', 'accepted'] as const;
export const RATION_NOTE_KINDS = ['note', 'proposed', 'returned', 'accepted', 'in-use', 'ended'] as const;
export const TRIAL_STATES = ['draft', 'running', 'closed'] as const;
export const TRIAL_ARM_ROLES = ['usual', 'change'] as const;
export const TRIAL_EVENT_KINDS = ['sick', 'treated', 'moved', 'wrong-feed', 'died', 'sold', 'lost'] as const;

// ───────── the office ─────────
export const CLOSED_REPORTS = [
  'season-cost-by-operation',
  'season-cost-by-ranch',
  'season-cost-by-herd',
  'season-cost-by-kind',
  'season-cost-by-month',
  'cost-of-gain',
  'hay-position',
  'journal',
  'trial-balance',
  'cost-variances',
  'general-ledger',
  'herd-closeouts',
] as const;
