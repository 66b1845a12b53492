/** A shape of the description that stands in several places, where one of them is, and what it is. */
interface SharedShape {
  name: string;
  at: string;
  description: string;
}

/**
 * The names of shapes that several bodies or answers spell out alike, taken from the trade. Only what is used at least
 * twice is here. A place is written as `shared-shapes.ts` reads it. A shape inside another may come before or after it.
 */
export const SHARED_SHAPES: readonly SharedShape[] = [
  {
    name: 'HerdToBudget',
    at: 'CreateHayBudgetPlanRequest.herds[]',
    description: 'A herd as a hay budget plans for it: head, intake and waste',
  },
  {
    name: 'NitrateBand',
    at: 'CalculateNitrateResponse.band',
    description: 'A band of nitrate in forage, as one published guide draws it',
  },
  {
    name: 'LikelyMoney',
    at: 'TrialJudgement.comparisons[].partialBudget.netPerHead',
    description: 'An amount of money with the interval it likely lies in',
  },
  {
    name: 'LikelyMass',
    at: 'CalculateJudgeTrialResponse.comparisons[].partialBudget.herd.addedGain',
    description: 'A mass with the interval it likely lies in',
  },
  { name: 'MassRange', at: 'YardBudget.lots[].likelyBalance', description: 'A mass from its least to its most' },
  {
    name: 'CalculatedTrialContrast',
    at: 'CalculateJudgeTrialResponse.comparisons[].asDrawn',
    description: 'One way of counting the animals of a trial, and what it gives',
  },
  {
    name: 'CalculatedTrialVerdict',
    at: 'CalculateJudgeTrialResponse.comparisons[].verdict',
    description: 'What a comparison of a trial allows one to say',
  },
  {
    name: 'TrialContrast',
    at: 'TrialJudgement.comparisons[].asDrawn',
    description: 'One way of counting the animals of a trial, and what it gives',
  },
  {
    name: 'WeighedBales',
    at: 'HayPurchase.weighing',
    description: 'How sure a weight is that rests on bales that were weighed',
  },
  {
    name: 'HeadFlow',
    at: 'CalculateCostOfGainRequest.flows[]',
    description: 'Cattle that came into a herd or left it, with their weight',
  },
  {
    name: 'WeighedHead',
    at: 'CalculateCostOfGainRequest.closing',
    description: 'Head that were weighed together on a day',
  },
  { name: 'WeighedHerd', at: 'CostOfGainFigures.closing', description: 'Weight of a herd on a day' },
  {
    name: 'SellersTest',
    at: 'SolveLeastCostRationRequest.quotes[].analysis',
    description: 'What a test of the seller says of a hay',
  },
  {
    name: 'LayerShare',
    at: 'CalculateLayerSharesResponse.layers[]',
    description: 'The share of a layer in a ration, by volume, weight and dry matter',
  },
  {
    name: 'LotToOpen',
    at: 'CreateHayPurchaseRequest.lot|1',
    description: 'A new lot, opened by the entry that brings the hay',
  },
  { name: 'ExistingLot', at: 'CreateHayPurchaseRequest.lot|0', description: 'An existing lot' },
  {
    name: 'QuantityInBales',
    at: 'CreateHayTransferRequest.quantity|2',
    description: "A quantity in bales, at the lot's mean bale weight",
  },
  {
    name: 'QuantityOnTruck',
    at: 'CreateHayTransferRequest.quantity|1',
    description: 'A quantity as a truck weighed full and empty',
  },
  { name: 'QuantityByWeight', at: 'CreateHayTransferRequest.quantity|0', description: 'A quantity by weight, as fed' },
  { name: 'CountedWeight', at: 'CreateStockCountRequest.counted|0', description: 'What was counted, by weight' },
  {
    name: 'ConfirmedCount',
    at: 'CreateHayTransferRequest.confirmedCount',
    description: 'What lay in the lot before the draw: the same request corrects the books',
  },
  { name: 'FedLayer', at: 'Feeding.layers[]', description: 'A layer as it was fed' },
  {
    name: 'RationLayerIn',
    at: 'CreateRationRequest.layers[]',
    description: 'A layer of a ration and the lots it is made of',
  },
  { name: 'RationAmount', at: 'CreateRationRequest.amount', description: 'How much of a ration one head gets a day' },
  {
    name: 'LayerPart',
    at: 'CalculateEvaluateRationResponse.layers[]',
    description: 'A layer of a ration, in weight per head per day',
  },
  { name: 'BookValuesUsed', at: 'RationReview.bookValues[]', description: 'Values of a lot that come from a book' },
  { name: 'CodedNote', at: 'RationReview.refusedBecause[]', description: 'A note for a reader, with its code' },
  {
    name: 'CodedRemark',
    at: 'FeedConversion.herds[].notes[]',
    description: 'What is doubtful about a figure, with its code',
  },
  { name: 'NamedLot', at: 'YardBudget.lots[].testTakenFrom', description: 'A lot by its id and name' },
  { name: 'SourceRecord', at: 'StockMovement.source', description: 'The record that caused an entry' },
  { name: 'TypedPrice', at: 'HayPurchase.price', description: 'A price as it was typed' },
  { name: 'TrialCautionFigure', at: 'TrialCaution.number', description: 'The figure that raised a caution' },
  {
    name: 'CalculatedTrialCaution',
    at: 'CalculateJudgeTrialResponse.cautions[]',
    description: 'A caution about a trial',
  },
  {
    name: 'FTest',
    at: 'CalculateJudgeTrialResponse.comparisons[].checks.equalVariance',
    description: 'An F statistic and its p-value',
  },
  {
    name: 'BudgetAtLosses',
    at: 'YardBudget.range.atHighLosses',
    description: 'A hay budget at one end of the likely losses',
  },
  {
    name: 'MonthlyTemperature',
    at: 'CreateHayBudgetPlanRequest.monthlyTemperatures[]',
    description: 'Mean temperature of a month',
  },
  {
    name: 'TemperatureAsTyped',
    at: 'CreateWeatherDayRequest.meanTemperature',
    description: 'A temperature as it is typed',
  },
  { name: 'MeasuredTemperature', at: 'WeatherAllowedFor.temperature', description: 'A temperature with its unit' },
  { name: 'SmallLength', at: 'WeatherAllowedFor.mudDepth', description: 'A short length with its unit' },
  { name: 'WaterPerDay', at: 'FeedSheet.water.need', description: 'Water of a day, in US gallons or liters' },
  { name: 'LabNitrate', at: 'CalculateNitrateRequest.nitrate', description: 'Nitrate as a lab reports it' },
  {
    name: 'PlannedHead',
    at: 'HayBudgetPlan.plan.herds[].head[]',
    description: 'Head that a herd is planned to have from a day on',
  },
  {
    name: 'WasteByMethod',
    at: 'HayBudgetPlan.plan.herds[].waste|1',
    description: 'Waste as published for a way of feeding',
  },
  { name: 'TrialArm', at: 'Trial.arms[]', description: 'An arm of a trial' },
  {
    name: 'CalculatedTrialArm',
    at: 'CalculateJudgeTrialRequest.arms[]',
    description: 'An arm of a trial, as it is given to a calculation',
  },
  { name: 'Haul', at: 'CalculateDeliveredCostRequest.haul', description: 'A haul and its rate' },
  { name: 'HeadEvent', at: 'CalculateHeadDaysRequest.events[]', description: 'Head that came or went on a day' },
  { name: 'WeightOnDay', at: 'CalculateDailyGainRequest.start', description: 'A weight on a day' },
  { name: 'LotOnSheet', at: 'FeedSheetConfirmation.lots[]', description: 'What a confirmed sheet fed from a lot' },
  { name: 'AsFedAndDryMatter', at: 'Ration.perHead', description: 'A weight as fed, and its dry matter' },
  { name: 'TrialLooks', at: 'CreateTrialRequest.looks', description: 'Planned looks at a running trial' },
  {
    name: 'StatedStorageLoss',
    at: 'CreateHayBudgetPlanRequest.storageLosses[]',
    description: 'A loss in storage, as stated',
  },
  { name: 'PriceOfHayKind', at: 'CreateHayBudgetPlanRequest.prices[]', description: 'What hay of a kind costs' },
  { name: 'HerdGain', at: 'CalculateHerdGainResponse.gain', description: 'Gain of a herd between two weighings' },
  {
    name: 'PlannedLooks',
    at: 'CalculatePlanTrialRequest.looks',
    description: 'Looks at a trial that were planned beforehand',
  },
  {
    name: 'LayerBasis',
    at: 'CalculateLayerSharesRequest.basis',
    description: 'What the shares of layers are shares of: volume, weight as fed or dry matter',
  },
  {
    name: 'WeighingFill',
    at: 'CreateWeighInRequest|0.fill',
    description: 'Weighed full, or shrunk after a stand off feed and water',
  },
  {
    name: 'CattleClass',
    at: 'CreateHerdRequest.cattleClass',
    description: 'Class of cattle, for the requirement equations',
  },
  { name: 'TrialArmRole', at: 'Trial.arms[].role', description: 'The usual feeding, or a change compared with it' },
  {
    name: 'FigureGuarantee',
    at: 'LabFigureInPercent.guarantee',
    description: 'Of a label: whether it guarantees the figure as the least or the most',
  },
  { name: 'MemberRole', at: 'CreateInvitationRequest.role', description: 'Role of a member in the operation' },
  {
    name: 'ConditionDirection',
    at: 'RationReview.conditionDirection',
    description: 'Which way the body condition goes',
  },
  {
    name: 'CountTreatment',
    at: 'CreateStockCountRequest.treatment',
    description: 'What becomes of the money of a difference: into the unit cost, or an expense',
  },
  {
    name: 'TrialUnit',
    at: 'CreateTrialRequest.unit',
    description: 'What counts as one value in a trial: an animal or a pen',
  },
  {
    name: 'TrialVerdictWord',
    at: 'CalculatedTrialVerdict.verdict',
    description: 'What the interval allows one to say, and no more',
  },
  { name: 'FeedingMethod', at: 'CreateFeedingRequest.method', description: 'How hay is offered' },
  { name: 'CattleSex', at: 'CreateHerdRequest.sex', description: 'Sex of the cattle, for the requirement equations' },
  { name: 'AnalysisBasis', at: 'CreateLabTestRequest.basis', description: 'As received, or dry matter' },
  { name: 'NitrateGuide', at: 'CalculateNitrateRequest.guide', description: 'Published guide to nitrate in forage' },
  { name: 'BreedType', at: 'CreateHerdRequest.breedType', description: 'Type of breed, for the requirement equations' },
  { name: 'CoatCondition', at: 'CreateWeatherDayRequest.coat', description: 'State of the coats' },
  {
    name: 'CostingMethod',
    at: 'CreateOperationRequest.costingMethod',
    description: 'How hay drawn from stock is valued',
  },
  { name: 'RestsOn', at: 'CalculateFeedingWasteResponse.restsOn', description: 'What a figure rests on' },
  {
    name: 'WasteConvention',
    at: 'CalculateHayNeedRequest.wasteConvention',
    description: 'divisor: eaten ÷ (1 − waste). multiplier: eaten × (1 + waste), which some guides print',
  },
  {
    name: 'SpendingKind',
    at: 'CreateTrialRequest.looks.spending',
    description: 'How the error of a trial is spent over its looks',
  },
  { name: 'TrialMethod', at: 'CreateTrialRequest.method', description: 'How the arms of a trial are compared' },
  { name: 'ComparisonMethod', at: 'DailyGainDifference.method', description: 'How two arms were compared' },
  { name: 'LayingWeather', at: 'CreateFeedingRequest.weather', description: 'Weather while the hay was laid' },
  {
    name: 'BaleRounding',
    at: 'CreateRationRequest.baleRounding',
    description: 'How a ration is rounded to whole bales',
  },
  {
    name: 'AmountBasis',
    at: 'CreateRationRequest.amount.basis',
    description: 'Whether an amount is as fed or dry matter',
  },
  { name: 'WasteRestsOn', at: 'RationReview.wastedRestsOn', description: 'What the waste that was counted rests on' },
  { name: 'AfterEnd', at: 'OfferEngagementRequest.afterEnd', description: 'What a consultant keeps after the end' },
  {
    name: 'HayForm',
    at: 'CalculateLayingCautionsRequest.layers[].form',
    description: 'Form of the hay, for a book density',
  },
  { name: 'SeenAmount', at: 'CreateHayObservationRequest.mold', description: 'How much was seen' },
  { name: 'PriceBasis', at: 'HayPurchase.price.basis', description: 'How hay was priced' },
  { name: 'KeyScope', at: 'CreateApiKeyRequest.scopes[]', description: 'What a key may do' },
  { name: 'LateCostOwed', at: 'CreateLateCostRequest.owed', description: 'What a later bill is for' },
  {
    name: 'WasteArithmetic',
    at: 'CalculateDeliveredCostRequest.arithmetic',
    description: 'How loss and waste are counted',
  },
  { name: 'PlaceKind', at: 'CreatePlaceRequest.kind', description: 'What kind of place it is' },
  { name: 'WaterState', at: 'CreateWaterCheckRequest.state', description: 'State of the water' },
  { name: 'ColdMethod', at: 'WeatherInput.coldMethod', description: 'How the cost of cold is worked out' },
  { name: 'RequirementEdition', at: 'RequirementEdition', description: 'Published requirement system' },
  {
    name: 'FeedGroup',
    at: 'CalculateLabTestPlausibilityRequest.group',
    description: 'Group of feeds that a feed belongs to',
  },
  { name: 'PersonKeyScope', at: 'CreatePersonKeyRequest.scopes[]', description: 'What a key of a person may do' },
  {
    name: 'BookRole',
    at: 'ChangeAccountMapRequest.accounts[].role',
    description: 'What an account is for in the hay books',
  },
  { name: 'WaterSupply', at: 'CalculateWaterQualityRequest.supply', description: 'Water of a day' },
  {
    name: 'TrialPen',
    at: 'BeginTrialRequest.herds[]',
    description: 'A herd of a trial, the pen it stands in and its arm',
  },
  { name: 'NutrientVerdict', at: 'NutrientLine.verdict', description: 'How a ration does on one nutrient' },
  { name: 'RationNutrient', at: 'NutrientLine.nutrient', description: "What a line of a ration's judgement is about" },
  { name: 'ReceiptOfHay', at: 'LateCost.receipt', description: 'The ticket or harvest that a later bill belongs to' },
  { name: 'RationInUse', at: 'HayBudgetPlan.plan.herds[].intake|1', description: 'Intake of the ration in use' },
  {
    name: 'MeasuredOrBook',
    at: 'Ration.layers[].parts[].bulkDensity',
    description: 'A figure that was measured or comes from a book',
  },
  { name: 'StatedSpread', at: 'CreateTrialRequest.spread|1', description: 'A standard deviation of gain as stated' },
];
