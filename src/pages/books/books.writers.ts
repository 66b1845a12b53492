import { getGeneralLedger } from '../../office/general-ledger/general-ledger.schema.js';
import { registerWriters } from '../../platform/http/writers.js';
import { beancountText } from './beancount.js';

registerWriters(getGeneralLedger, { beancount: beancountText });
