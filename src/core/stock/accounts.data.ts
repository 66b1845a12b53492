/**
 * What an entry can touch in the general ledger. The operation maps each to an account of its own; the numbers and
 * names here are only what a new operation starts with (common practice, no source: assets 1xxx, debts 2xxx, equity
 * 3xxx, income 4xxx, costs 5xxx).
 */
export const ACCOUNT_ROLES = {
  'hay-inventory': { number: '1400', name: 'Hay inventory', normalSide: 'debit' },
  receivables: { number: '1200', name: 'Accounts receivable', normalSide: 'debit' },
  payables: { number: '2000', name: 'Accounts payable', normalSide: 'credit' },
  'freight-payable': { number: '2010', name: 'Freight payable', normalSide: 'credit' },
  'raised-feed-transfer': { number: '4300', name: 'Raised feed transferred in', normalSide: 'credit' },
  'hay-sales': { number: '4100', name: 'Hay sales', normalSide: 'credit' },
  'feed-expense': { number: '5100', name: 'Feed expense', normalSide: 'debit' },
  'cost-of-hay-sold': { number: '5200', name: 'Cost of hay sold', normalSide: 'debit' },
  'hay-loss': { number: '5300', name: 'Abnormal hay loss', normalSide: 'debit' },
  'count-difference': { number: '5310', name: 'Hay count differences', normalSide: 'debit' },
  'purchase-price-variance': { number: '5400', name: 'Purchase price variance, hay', normalSide: 'debit' },
  'yardage-expense': { number: '5500', name: 'Yardage', normalSide: 'debit' },
  'yardage-applied': { number: '5590', name: 'Yardage applied', normalSide: 'credit' },
  'cattle-purchases': { number: '5700', name: 'Cattle purchased', normalSide: 'debit' },
  'cattle-sales': { number: '4000', name: 'Cattle sales', normalSide: 'credit' },
  'cattle-transfers': { number: '5790', name: 'Cattle moved between herds', normalSide: 'debit' },
  'raised-cattle-transfer': { number: '4310', name: 'Raised cattle transferred in', normalSide: 'credit' },
  'herd-costs': { number: '5600', name: 'Other costs of herds', normalSide: 'debit' },
  'costing-method-change': { number: '3900', name: 'Change of costing method, hay', normalSide: 'credit' },
} as const satisfies Record<string, { number: string; name: string; normalSide: 'debit' | 'credit' }>;

/** What an account is, by its role: the first part of its name in an accounting file. */
export const ACCOUNT_SORTS = {
  'hay-inventory': 'asset',
  receivables: 'asset',
  payables: 'liability',
  'freight-payable': 'liability',
  'raised-feed-transfer': 'income',
  'hay-sales': 'income',
  'feed-expense': 'expense',
  'cost-of-hay-sold': 'expense',
  'hay-loss': 'expense',
  'count-difference': 'expense',
  'purchase-price-variance': 'expense',
  'yardage-expense': 'expense',
  'yardage-applied': 'expense',
  'cattle-purchases': 'expense',
  'cattle-sales': 'income',
  'cattle-transfers': 'expense',
  'raised-cattle-transfer': 'income',
  'herd-costs': 'expense',
  'costing-method-change': 'equity',
} as const satisfies Record<keyof typeof ACCOUNT_ROLES, 'asset' | 'liability' | 'equity' | 'income' | 'expense'>;

export type AccountRole = keyof typeof ACCOUNT_ROLES;
export const ACCOUNT_ROLE_CODES = Object.keys(ACCOUNT_ROLES) as AccountRole[];
