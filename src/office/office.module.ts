import { Module } from '@nestjs/common';
import { AccountMapController } from './account-map/account-map.controller.js';
import { AccountMapRead } from './account-map/account-map.read.js';
import { AccountMapService } from './account-map/account-map.service.js';
import { AccountMapStore } from './account-map/account-map.store.js';
import { BalancesController } from './balances/balances.controller.js';
import { BalancesRead } from './balances/balances.read.js';
import { BalancesService } from './balances/balances.service.js';
import { FeedConversionController } from './feed-conversion/feed-conversion.controller.js';
import { FeedConversionService } from './feed-conversion/feed-conversion.service.js';
import { ClosedReportRead } from './closings/closed-report.read.js';
import { CattleJournalController } from './cattle-journal/cattle-journal.controller.js';
import { CattleJournalRead } from './cattle-journal/cattle-journal.read.js';
import { CattleJournalService } from './cattle-journal/cattle-journal.service.js';
import { CloseoutController } from './closeout/closeout.controller.js';
import { CloseoutRead } from './closeout/closeout.read.js';
import { CloseoutService } from './closeout/closeout.service.js';
import { PeriodCloseoutsService } from './closeout/period-closeouts.service.js';
import { ClosingController } from './closings/closing.controller.js';
import { ClosingRead } from './closings/closing.read.js';
import { ClosingService } from './closings/closing.service.js';
import { ClosingStore } from './closings/closing.store.js';
import { EntryWordsRead } from './journal/entry-words.read.js';
import { JournalController } from './journal/journal.controller.js';
import { JournalPages } from './journal/journal-pages.service.js';
import { JournalRead } from './journal/journal.read.js';
import { JournalService } from './journal/journal.service.js';
import { ActualMoneyService } from './money-budget/actual-money.service.js';
import { MoneyBudgetController } from './money-budget/money-budget.controller.js';
import { MoneyBudgetRead } from './money-budget/money-budget.read.js';
import { MoneyBudgetService } from './money-budget/money-budget.service.js';
import { MoneyBudgetStore } from './money-budget/money-budget.store.js';
import { RollUpController } from './roll-up/roll-up.controller.js';
import { RollUpService } from './roll-up/roll-up.service.js';
import { RationModule } from '../desk/rations/ration.module.js';
import { RecordsModule } from '../records/records.module.js';
import { CostOfGainController } from './cost-of-gain/cost-of-gain.controller.js';
import { CostOfGainService } from './cost-of-gain/cost-of-gain.service.js';
import { CostingModule } from '../records/hay/costing/costing.module.js';
import { HayBudgetModule } from './hay-budget/hay-budget.module.js';
import { HayPositionController } from './hay-position/hay-position.controller.js';
import { HayPositionService } from './hay-position/hay-position.service.js';
import { LastSalesRead } from './roll-forward/last-sales.read.js';
import { ChangeController } from './changes/change.controller.js';
import { ChangeRead } from './changes/change.read.js';
import { ChangeService } from './changes/change.service.js';
import { GeneralLedgerController } from './general-ledger/general-ledger.controller.js';
import { GeneralLedgerService } from './general-ledger/general-ledger.service.js';
import { RollForwardController } from './roll-forward/roll-forward.controller.js';
import { RollForwardService } from './roll-forward/roll-forward.service.js';
import { YearEndInventoryService } from './roll-forward/year-end-inventory.service.js';
import { TieOutController } from './tie-out/tie-out.controller.js';
import { TieOutService } from './tie-out/tie-out.service.js';
import { SeasonCostController } from './season-cost/season-cost.controller.js';
import { SeasonCostService } from './season-cost/season-cost.service.js';
import { Deliverer } from './webhooks/deliverer.js';
import { DeliveryStore } from './webhooks/delivery.store.js';
import { LowHayService } from './webhooks/low-hay.service.js';
import { LowHayStore } from './webhooks/low-hay.store.js';
import { WebhookChoresStore } from './webhooks/webhook-chores.store.js';
import { WebhookController } from './webhooks/webhook.controller.js';
import { WebhookRead } from './webhooks/webhook.read.js';
import { WebhookService } from './webhooks/webhook.service.js';
import { WebhookStore } from './webhooks/webhook.store.js';
import { WebhookWork } from './webhooks/webhook-work.js';

/** The accountant's work. */
@Module({
  imports: [RecordsModule, RationModule, HayBudgetModule, CostingModule],
  controllers: [
    BalancesController,
    FeedConversionController,
    CattleJournalController,
    CloseoutController,
    MoneyBudgetController,
    RollUpController,
    ClosingController,
    AccountMapController,
    JournalController,
    SeasonCostController,
    CostOfGainController,
    HayPositionController,
    RollForwardController,
    GeneralLedgerController,
    ChangeController,
    TieOutController,
    WebhookController,
  ],
  providers: [
    Deliverer,
    DeliveryStore,
    LowHayService,
    LowHayStore,
    WebhookChoresStore,
    WebhookRead,
    WebhookService,
    WebhookStore,
    WebhookWork,
    BalancesService,
    BalancesRead,
    FeedConversionService,
    CattleJournalService,
    CattleJournalRead,
    ActualMoneyService,
    MoneyBudgetService,
    MoneyBudgetRead,
    MoneyBudgetStore,
    RollUpService,
    CloseoutService,
    PeriodCloseoutsService,
    CloseoutRead,
    ClosingService,
    ClosingRead,
    ClosingStore,
    ClosedReportRead,
    AccountMapService,
    AccountMapRead,
    AccountMapStore,
    JournalService,
    JournalPages,
    JournalRead,
    EntryWordsRead,
    SeasonCostService,
    CostOfGainService,
    HayPositionService,
    RollForwardService,
    GeneralLedgerService,
    ChangeService,
    ChangeRead,
    TieOutService,
    YearEndInventoryService,
    LastSalesRead,
  ],
  exports: [
    HayPositionService,
    CloseoutService,
    SeasonCostService,
    CostOfGainService,
    BalancesService,
    JournalService,
    RollForwardService,
    MoneyBudgetService,
    ClosingService,
  ],
})
export class OfficeModule {}
