import type { Words } from './column-words.js';
import type { ColumnType } from "kysely";
export type Generated<T> = T extends ColumnType<infer S, infer I, infer U>
  ? ColumnType<S, I | undefined, U>
  : ColumnType<T, T | undefined, T>;
export type Timestamp = ColumnType<Date, Date | string, Date | string>;

export type account_event = {
    person_id: string;
    sequence: Generated<string>;
    happened_at: Generated<string>;
    /**
     * @kyselyType(Words['AccountEvent'])
     */
    kind: Words['AccountEvent'];
    address: string | null;
    /**
     * The session or key that it is about.
     */
    subject_id: string | null;
    attempts: Generated<number>;
};
export type account_map = {
    operation_id: string;
    accounts: unknown;
    version: Generated<number>;
    changed_at: Generated<string>;
};
export type animal_weight = {
    operation_id: string;
    weigh_in_id: string;
    position: number;
    visual_tag: string | null;
    electronic_id: string | null;
    kilograms: string;
    typed_value: string;
    /**
     * @kyselyType(Words['MassUnit'])
     */
    typed_unit: Words['MassUnit'];
};
export type api_key = {
    operation_id: string;
    id: string;
    name: string;
    secret_hash: string;
    /**
     * @kyselyType(Words['KeyScope'])
     */
    scopes: Words['KeyScope'][];
    expires_at: string;
    created_by: string;
    created_at: Generated<string>;
    revoked_at: string | null;
    last_used_at: string | null;
    last_used_from: string | null;
    version: Generated<number>;
    /**
     * The key that this one replaces; both work until the older one ends.
     */
    replaces_id: string | null;
};
export type audit_entry = {
    operation_id: string;
    sequence: string;
    recorded_at: Generated<string>;
    person_id: string | null;
    api_key_id: string | null;
    request_id: string;
    address: string;
    action: string;
    subject_kind: string;
    subject_id: string | null;
    before: unknown | null;
    after: unknown | null;
    chain_hash: string;
};
export type book_closing = {
    operation_id: string;
    id: string;
    from_on: string;
    until_on: string;
    /**
     * @kyselyType(Words['CostingMethod'])
     */
    costing_method: Words['CostingMethod'];
    note: string | null;
    recorded_at: Generated<string>;
    recorded_by: string;
};
export type book_reopening = {
    operation_id: string;
    book_closing_id: string;
    reason: string;
    recorded_at: Generated<string>;
    recorded_by: string;
};
export type budget_entry = {
    operation_id: string;
    id: string;
    herd_id: string;
    month_on: string;
    /**
     * @kyselyType(Words['BudgetLine'])
     */
    line: Words['BudgetLine'];
    amount_value: string | null;
    amount: string | null;
    /**
     * @kyselyType(Words['Currency'])
     */
    currency: Words['Currency'];
    note: string | null;
    recorded_at: Generated<string>;
    recorded_by: string;
};
export type closed_report = {
    operation_id: string;
    book_closing_id: string;
    /**
     * @kyselyType(Words['ClosedReport'])
     */
    name: Words['ClosedReport'];
    /**
     * @kyselyType(Words['UnitSystem'])
     */
    units: Words['UnitSystem'];
    body: string;
    sha256: string;
};
export type confirmed_entry = {
    operation_id: string;
    id: string;
    /**
     * @kyselyType(Words['SubjectKind'])
     */
    subject_kind: Words['SubjectKind'];
    subject_id: string;
    happened_on: string;
    code: string;
    pointer: string;
    given: string;
    usual: string;
    source: string;
    message: string;
    about_money: boolean;
    recorded_at: Generated<string>;
    recorded_by: string;
};
export type costed_entry = {
    operation_id: string;
    /**
     * @kyselyType(Words['CostingMethod'])
     */
    costing_method: Words['CostingMethod'];
    entry_id: string;
    /**
     * @kyselyType(Words['FeedKind'])
     */
    hay_kind: Words['FeedKind'];
    effective_on: string;
    herd_id: string | null;
    kilograms: string;
    amount: string;
    variance: string | null;
};
export type costing_due = {
    operation_id: string;
    sequence: Generated<string>;
    /**
     * @kyselyType(Words['CostingMethod'])
     */
    costing_method: Words['CostingMethod'];
    /**
     * @kyselyType(Words['FeedKind'])
     */
    hay_kind: Words['FeedKind'];
    from_on: string;
    transaction_number: string;
};
export type costing_pool = {
    operation_id: string;
    /**
     * @kyselyType(Words['CostingMethod'])
     */
    costing_method: Words['CostingMethod'];
    /**
     * @kyselyType(Words['FeedKind'])
     */
    hay_kind: Words['FeedKind'];
    version: Generated<string>;
    last_on: string | null;
    last_rank: number | null;
    last_at: string | null;
};
export type costing_state = {
    operation_id: string;
    /**
     * @kyselyType(Words['CostingMethod'])
     */
    costing_method: Words['CostingMethod'];
    /**
     * @kyselyType(Words['FeedKind'])
     */
    hay_kind: Words['FeedKind'];
    until_on: string;
    state: unknown;
};
export type data_import = {
    operation_id: string;
    id: string;
    /**
     * @kyselyType(Words['ImportKind'])
     */
    kind: Words['ImportKind'];
    file_sha256: string;
    /**
     * @kyselyType(Words['ImportState'])
     */
    state: Words['ImportState'];
    row_count: number;
    rows_done: number;
    record_count: number;
    /**
     * Rows left out, since they look like what is there already.
     */
    skipped_count: Generated<number>;
    started_at: string;
    moved_at: string;
    recorded_by: string;
    /**
     * The saved reading by which the file was read; null if there was none.
     */
    import_mapping_id: string | null;
};
export type data_import_record = {
    operation_id: string;
    data_import_id: string;
    row_number: number;
    /**
     * @kyselyType(Words['SubjectKind'])
     */
    subject_kind: Words['SubjectKind'];
    subject_id: string;
};
export type data_import_reversal = {
    operation_id: string;
    id: string;
    data_import_id: string;
    /**
     * The day that was given for all of its records; null: each on its own day.
     */
    effective_on: string | null;
    reason: string;
    record_count: number;
    recorded_at: Generated<string>;
    recorded_by: string;
};
export type denied_attempt = {
    operation_id: string;
    id: string;
    hour: string;
    subject_hash: string;
    endpoint: string;
    code: string;
    person_id: string | null;
    api_key_id: string | null;
    address: string;
    request_id: string;
    first_at: string;
    last_at: string;
    attempts: Generated<number>;
};
export type email_link = {
    id: string;
    person_id: string;
    email: string;
    token_hash: string;
    created_at: Generated<string>;
    expires_at: string;
    used_at: string | null;
};
export type engagement = {
    operation_id: string;
    id: string;
    /**
     * Copied, so that a person who is not a member yet can read what is offered.
     */
    operation_name: string;
    consultant_email: string;
    consultant_id: string | null;
    /**
     * Of the code that the owner hands over; whoever accepts shows it.
     */
    code_hash: string | null;
    /**
     * @kyselyType(Words['EngagementSide'])
     */
    begun_by: Words['EngagementSide'];
    /**
     * @kyselyType(Words['EngagementState'])
     */
    state: Words['EngagementState'];
    sees_prices: boolean;
    until_at: string | null;
    /**
     * What the consultant keeps after the end: 'history' (a copy as it stood at the end) or 'nothing'.
     * @kyselyType(Words['AfterEngagement'])
     */
    after_end: Words['AfterEngagement'];
    note: string | null;
    offered_at: Generated<string>;
    expires_at: string;
    answered_at: string | null;
    membership_id: string | null;
    ended_at: string | null;
    /**
     * @kyselyType(Words['EngagementSide'])
     */
    ended_by: Words['EngagementSide'] | null;
    version: Generated<number>;
};
export type engagement_archive = {
    operation_id: string;
    engagement_id: string;
    consultant_id: string;
    ended_at: string;
    record_count: number;
    content: Buffer;
};
export type engagement_proposal = {
    id: string;
    consultant_id: string;
    consultant_name: string;
    consultant_email: string;
    owner_email: string;
    note: string | null;
    /**
     * Hash of the code that the consultant hands over; null in what an earlier release made.
     */
    code_hash: string | null;
    /**
     * @kyselyType(Words['ProposalState'])
     */
    state: Generated<Words['ProposalState']>;
    created_at: Generated<string>;
    expires_at: string;
    answered_at: string | null;
    version: Generated<number>;
};
export type entry_correction = {
    operation_id: string;
    subject_id: string;
    /**
     * @kyselyType(Words['SubjectKind'])
     */
    subject_kind: Words['SubjectKind'];
    corrects_id: string;
    recorded_at: Generated<string>;
};
export type erased_operation = {
    id: string;
    name: string;
    requested_at: string;
    requested_by: string;
    confirmed_at: string;
    confirmed_by: string;
    request_id: string;
    address: string;
    row_counts: unknown;
    last_sequence: string;
    last_chain_hash: string;
};
export type feed_sheet_confirmation = {
    operation_id: string;
    id: string;
    herd_id: string;
    ration_id: string;
    feeding_id: string;
    place_id: string | null;
    happened_on: string;
    sheet: unknown;
    additional: Generated<boolean>;
    recorded_at: Generated<string>;
    recorded_by: string;
};
export type feed_sheet_lot = {
    operation_id: string;
    confirmation_id: string;
    hay_lot_id: string;
    bales_opened: string | null;
    fed_kg: string;
    carried_out_kg: string;
};
export type feeding = {
    operation_id: string;
    id: string;
    herd_id: string;
    ranch_id: string;
    place_id: string | null;
    happened_on: string;
    happened_at: string | null;
    head_fed: number;
    /**
     * @kyselyType(Words['FeedingMethod'])
     */
    method: Words['FeedingMethod'];
    /**
     * @kyselyType(Words['LayingWeather'])
     */
    weather: Words['LayingWeather'];
    refused_kg: string | null;
    refused_value: string | null;
    /**
     * @kyselyType(Words['MassUnit'])
     */
    refused_unit: Words['MassUnit'] | null;
    wasted_kg: string | null;
    wasted_value: string | null;
    /**
     * @kyselyType(Words['MassUnit'])
     */
    wasted_unit: Words['MassUnit'] | null;
    blended: Generated<boolean>;
    note: string | null;
    recorded_at: Generated<string>;
    recorded_by: string;
};
export type feeding_layer = {
    operation_id: string;
    feeding_id: string;
    position: number;
    part: number;
    /**
     * @kyselyType(Words['LayerRole'])
     */
    role: Words['LayerRole'];
    hay_lot_id: string;
    kilograms: string;
    typed_value: string;
    /**
     * @kyselyType(Words['QuantityUnit'])
     */
    typed_unit: Words['QuantityUnit'];
    bale_count: string | null;
    free_choice: Generated<boolean>;
};
export type harvest = {
    operation_id: string;
    id: string;
    hay_lot_id: string;
    field: string | null;
    happened_on: string;
    bale_count: number | null;
    /**
     * @kyselyType(Words['WeightBasis'])
     */
    weight_basis: Words['WeightBasis'];
    weight_kg: string;
    weight_value: string;
    /**
     * @kyselyType(Words['QuantityUnit'])
     */
    weight_unit: Words['QuantityUnit'];
    weight_typed: unknown | null;
    bale_weight_value: string | null;
    /**
     * @kyselyType(Words['MassUnit'])
     */
    bale_weight_unit: Words['MassUnit'] | null;
    bales_weighed: number | null;
    bale_weight_sd: string | null;
    moisture_pct: string | null;
    note: string | null;
    recorded_at: Generated<string>;
    recorded_by: string;
};
export type harvest_cost = {
    operation_id: string;
    harvest_id: string;
    /**
     * @kyselyType(Words['PriceBasis'])
     */
    basis: Words['PriceBasis'];
    price_value: string;
    /**
     * @kyselyType(Words['PriceUnit'])
     */
    price_unit: Words['PriceUnit'];
    amount: string;
    /**
     * @kyselyType(Words['Currency'])
     */
    currency: Words['Currency'];
};
export type hay_budget_plan = {
    operation_id: string;
    id: string;
    name: string;
    from_on: string;
    until_on: string;
    plan: unknown;
    recorded_at: Generated<string>;
    recorded_by: string;
};
export type hay_budget_plan_price = {
    operation_id: string;
    hay_budget_plan_id: string;
    /**
     * @kyselyType(Words['HayKind'])
     */
    hay_kind: Words['HayKind'];
    price_value: string;
    /**
     * @kyselyType(Words['MassUnit'])
     */
    price_unit: Words['MassUnit'];
    /**
     * @kyselyType(Words['Currency'])
     */
    currency: Words['Currency'];
};
export type hay_lot = {
    operation_id: string;
    id: string;
    ranch_id: string;
    place_id: string | null;
    name: string;
    /**
     * @kyselyType(Words['FeedCategory'])
     */
    category: Words['FeedCategory'];
    /**
     * @kyselyType(Words['FeedKind'])
     */
    hay_kind: Words['FeedKind'];
    cutting: number | null;
    harvested_on: string | null;
    /**
     * @kyselyType(Words['LotOrigin'])
     */
    origin: Words['LotOrigin'];
    /**
     * @kyselyType(Words['BaleForm'])
     */
    bale_form: Words['BaleForm'];
    /**
     * @kyselyType(Words['StorageMethod'])
     */
    storage_method: Words['StorageMethod'];
    stored_since: string | null;
    version: Generated<number>;
    created_at: Generated<string>;
    split_from_id: string | null;
};
export type hay_observation = {
    operation_id: string;
    id: string;
    hay_lot_id: string;
    happened_on: string;
    seen_by_name: string | null;
    bales_checked: number | null;
    /**
     * @kyselyType(Words['SeenAmount'])
     */
    mold: Words['SeenAmount'] | null;
    bales_moldy: number | null;
    /**
     * @kyselyType(Words['SeenAmount'])
     */
    dust: Words['SeenAmount'] | null;
    bales_spoiled: number | null;
    /**
     * @kyselyType(Words['HaySmell'])
     */
    smell: Words['HaySmell'] | null;
    /**
     * @kyselyType(Words['HayColor'])
     */
    color: Words['HayColor'] | null;
    /**
     * @kyselyType(Words['HeatFelt'])
     */
    heat_felt: Words['HeatFelt'] | null;
    temperature_c: string | null;
    temperature_value: string | null;
    /**
     * @kyselyType(Words['TemperatureUnit'])
     */
    temperature_unit: Words['TemperatureUnit'] | null;
    depth_value: string | null;
    /**
     * @kyselyType(Words['ProbeDepthUnit'])
     */
    depth_unit: Words['ProbeDepthUnit'] | null;
    moisture_percent: string | null;
    note: string | null;
    recorded_at: Generated<string>;
    recorded_by: string;
};
export type hay_purchase = {
    operation_id: string;
    id: string;
    hay_lot_id: string;
    vendor: string;
    ticket_number: string | null;
    happened_on: string;
    bale_count: number | null;
    /**
     * @kyselyType(Words['WeightBasis'])
     */
    weight_basis: Words['WeightBasis'];
    weight_kg: string;
    weight_value: string;
    /**
     * @kyselyType(Words['QuantityUnit'])
     */
    weight_unit: Words['QuantityUnit'];
    weight_typed: unknown | null;
    bale_weight_value: string | null;
    /**
     * @kyselyType(Words['MassUnit'])
     */
    bale_weight_unit: Words['MassUnit'] | null;
    bales_weighed: number | null;
    bale_weight_sd: string | null;
    moisture_pct: string | null;
    note: string | null;
    recorded_at: Generated<string>;
    recorded_by: string;
};
export type hay_purchase_price = {
    operation_id: string;
    hay_purchase_id: string;
    /**
     * @kyselyType(Words['PriceBasis'])
     */
    basis: Words['PriceBasis'];
    price_value: string;
    /**
     * @kyselyType(Words['PriceUnit'])
     */
    price_unit: Words['PriceUnit'];
    hay_amount: string;
    freight_amount: string;
    charges_amount: string;
    freight_value: string | null;
    charges_value: string | null;
    /**
     * @kyselyType(Words['Currency'])
     */
    currency: Words['Currency'];
};
export type hay_quote = {
    operation_id: string;
    id: string;
    vendor: string;
    happened_on: string;
    valid_until: string | null;
    name: string;
    /**
     * @kyselyType(Words['FeedCategory'])
     */
    category: Words['FeedCategory'];
    /**
     * @kyselyType(Words['FeedKind'])
     */
    hay_kind: Words['FeedKind'];
    cutting: number | null;
    harvested_on: string | null;
    /**
     * @kyselyType(Words['BaleForm'])
     */
    bale_form: Words['BaleForm'];
    bale_count: number | null;
    weight_kg: string;
    weight_value: string;
    /**
     * @kyselyType(Words['QuantityUnit'])
     */
    weight_unit: Words['QuantityUnit'];
    weight_typed: unknown | null;
    note: string | null;
    recorded_at: Generated<string>;
    recorded_by: string;
};
export type hay_quote_price = {
    operation_id: string;
    hay_quote_id: string;
    /**
     * @kyselyType(Words['PriceBasis'])
     */
    basis: Words['PriceBasis'];
    price_value: string;
    /**
     * @kyselyType(Words['PriceUnit'])
     */
    price_unit: Words['PriceUnit'];
    hay_amount: string;
    freight_amount: string;
    charges_amount: string;
    freight_value: string | null;
    charges_value: string | null;
    /**
     * @kyselyType(Words['Currency'])
     */
    currency: Words['Currency'];
};
export type hay_quote_purchase = {
    operation_id: string;
    hay_quote_id: string;
    hay_purchase_id: string;
};
export type hay_sale = {
    operation_id: string;
    id: string;
    hay_lot_id: string;
    buyer: string;
    ticket_number: string | null;
    happened_on: string;
    bale_count: string | null;
    weight_kg: string;
    weight_value: string;
    /**
     * @kyselyType(Words['QuantityUnit'])
     */
    weight_unit: Words['QuantityUnit'];
    weight_typed: unknown | null;
    note: string | null;
    recorded_at: Generated<string>;
    recorded_by: string;
};
export type hay_sale_price = {
    operation_id: string;
    hay_sale_id: string;
    /**
     * @kyselyType(Words['PriceBasis'])
     */
    basis: Words['PriceBasis'];
    price_value: string;
    /**
     * @kyselyType(Words['PriceUnit'])
     */
    price_unit: Words['PriceUnit'];
    proceeds_amount: string;
    /**
     * @kyselyType(Words['Currency'])
     */
    currency: Words['Currency'];
};
export type hay_transfer = {
    operation_id: string;
    id: string;
    from_lot_id: string;
    to_lot_id: string;
    happened_on: string;
    happened_at: string | null;
    bale_count: string | null;
    weight_kg: string;
    weight_value: string;
    /**
     * @kyselyType(Words['QuantityUnit'])
     */
    weight_unit: Words['QuantityUnit'];
    weight_typed: unknown | null;
    note: string | null;
    recorded_at: Generated<string>;
    recorded_by: string;
};
export type head_change = {
    operation_id: string;
    id: string;
    herd_id: string;
    /**
     * @kyselyType(Words['HeadChangeKind'])
     */
    kind: Words['HeadChangeKind'];
    head: number;
    happened_on: string;
    other_herd_id: string | null;
    move_id: string | null;
    reverses_id: string | null;
    mean_weight_kg: string | null;
    mean_weight_value: string | null;
    /**
     * @kyselyType(Words['MassUnit'])
     */
    mean_weight_unit: Words['MassUnit'] | null;
    note: string | null;
    recorded_at: Generated<string>;
    recorded_by: string;
};
export type head_change_price = {
    operation_id: string;
    head_change_id: string;
    happened_on: string;
    /**
     * @kyselyType(Words['HeadMoney'])
     */
    how: Words['HeadMoney'];
    /**
     * @kyselyType(Words['HeadPriceBasis'])
     */
    basis: Words['HeadPriceBasis'];
    price_value: string;
    /**
     * @kyselyType(Words['CattlePriceUnit'])
     */
    price_unit: Words['CattlePriceUnit'];
    pencil_shrink_pct: string | null;
    pay_weight_kg: string | null;
    amount: string;
    /**
     * @kyselyType(Words['Currency'])
     */
    currency: Words['Currency'];
    party: string | null;
    recorded_at: Generated<string>;
    recorded_by: string;
};
export type herd = {
    operation_id: string;
    id: string;
    ranch_id: string;
    name: string;
    /**
     * @kyselyType(Words['AnimalSex'])
     */
    sex: Words['AnimalSex'];
    /**
     * @kyselyType(Words['BreedType'])
     */
    breed_type: Words['BreedType'];
    body_weight_kg: string;
    body_weight_value: string;
    /**
     * @kyselyType(Words['MassUnit'])
     */
    body_weight_unit: Words['MassUnit'];
    mature_weight_kg: string | null;
    mature_weight_value: string | null;
    /**
     * @kyselyType(Words['MassUnit'])
     */
    mature_weight_unit: Words['MassUnit'] | null;
    peak_milk_kg: string | null;
    peak_milk_value: string | null;
    /**
     * @kyselyType(Words['MassUnit'])
     */
    peak_milk_unit: Words['MassUnit'] | null;
    taken_on: string | null;
    note: string | null;
    version: Generated<number>;
    created_at: Generated<string>;
};
export type herd_cost = {
    operation_id: string;
    id: string;
    herd_id: string;
    /**
     * @kyselyType(Words['HerdCostKind'])
     */
    kind: Words['HerdCostKind'];
    happened_on: string;
    payee: string;
    note: string | null;
    recorded_at: Generated<string>;
    recorded_by: string;
};
export type herd_cost_money = {
    operation_id: string;
    herd_cost_id: string;
    amount_value: string;
    amount: string;
    /**
     * @kyselyType(Words['Currency'])
     */
    currency: Words['Currency'];
};
export type herd_event = {
    operation_id: string;
    id: string;
    herd_id: string;
    /**
     * @kyselyType(Words['HerdEventKind'])
     */
    kind: Words['HerdEventKind'];
    happened_on: string;
    median_on: string | null;
    last_on: string | null;
    /**
     * @kyselyType(Words['BreedingService'])
     */
    service: Words['BreedingService'] | null;
    head_checked: number | null;
    head_open: number | null;
    body_condition: string | null;
    /**
     * @kyselyType(Words['AnimalClass'])
     */
    cattle_class: Words['AnimalClass'] | null;
    place_id: string | null;
    mass_kg: string | null;
    mass_value: string | null;
    /**
     * @kyselyType(Words['MassUnit'])
     */
    mass_unit: Words['MassUnit'] | null;
    opening: Generated<boolean>;
    note: string | null;
    recorded_at: Generated<string>;
    recorded_by: string;
};
export type idempotency_record = {
    actor: string;
    route: string;
    key: string;
    payload_hash: string;
    status: number | null;
    answer: unknown | null;
    /**
     * What the person asking could do in the operation when the answer was made.
     * @kyselyType(Words['Act'])
     */
    acts: Words['Act'][];
    created_at: Generated<string>;
    expires_at: string;
};
export type import_mapping = {
    operation_id: string;
    id: string;
    /**
     * @kyselyType(Words['ImportKind'])
     */
    kind: Words['ImportKind'];
    shape: string;
    header: unknown;
    columns: unknown;
    /**
     * @kyselyType(Words['DayOrder'])
     */
    dates: Words['DayOrder'] | null;
    /**
     * @kyselyType(Words['DecimalMark'])
     */
    decimals: Words['DecimalMark'] | null;
    recorded_at: Generated<string>;
    recorded_by: string;
    /**
     * The one that this row ends; then it says nothing itself.
     */
    ends_id: string | null;
};
export type invitation = {
    operation_id: string;
    id: string;
    /**
     * Copied, so that the account it makes can say who vouched for it.
     */
    operation_name: string | null;
    email: string;
    /**
     * @kyselyType(Words['Role'])
     */
    role: Words['Role'];
    sees_prices: boolean;
    from_at: string | null;
    until_at: string | null;
    note: string | null;
    token_hash: string;
    invited_by: string;
    created_at: Generated<string>;
    expires_at: string;
    accepted_at: string | null;
    membership_id: string | null;
    withdrawn_at: string | null;
    version: Generated<number>;
};
export type lab_test = {
    operation_id: string;
    id: string;
    hay_lot_id: string;
    lab: string;
    sampled_on: string;
    /**
     * @kyselyType(Words['LabMethod'])
     */
    method: Words['LabMethod'];
    /**
     * @kyselyType(Words['ConcentrationBasis'])
     */
    basis: Words['ConcentrationBasis'];
    cores: number | null;
    bales_sampled: number | null;
    report_number: string | null;
    analysis: unknown;
    warnings: unknown;
    note: string | null;
    recorded_at: Generated<string>;
    recorded_by: string;
};
export type late_cost = {
    operation_id: string;
    id: string;
    /**
     * @kyselyType(Words['ReceiptKind'])
     */
    receipt_kind: Words['ReceiptKind'];
    receipt_id: string;
    stock_movement_id: string;
    hay_lot_id: string;
    happened_on: string;
    /**
     * @kyselyType(Words['LateCostOwed'])
     */
    owed: Words['LateCostOwed'];
    biller: string;
    note: string | null;
    recorded_at: Generated<string>;
    recorded_by: string;
};
export type late_posting = {
    operation_id: string;
    subject_id: string;
    /**
     * @kyselyType(Words['SubjectKind'])
     */
    subject_kind: Words['SubjectKind'];
    told_on: string;
    posted_on: string;
    book_closing_id: string;
    corrects_id: string | null;
    recorded_at: Generated<string>;
};
export type layer_template = {
    operation_id: string;
    id: string;
    name: string;
    /**
     * @kyselyType(Words['AnimalClass'])
     */
    classes: Words['AnimalClass'][];
    /**
     * @kyselyType(Words['LayerBasis'])
     */
    basis: Words['LayerBasis'];
    layers: unknown;
    note: string | null;
    retired: Generated<boolean>;
    version: Generated<number>;
    created_at: Generated<string>;
};
export type mail_outbox = {
    id: string;
    person_id: string;
    /**
     * The operation that vouched for the account then; null: the keeper of the server. It may be gone.
     */
    vouched_by: string | null;
    link_id: string | null;
    to_address: string;
    /**
     * What it says, sealed; null once it was sent or given up.
     */
    sealed: string | null;
    created_at: Generated<string>;
    next_try_at: string;
    /**
     * After that it helps nobody.
     */
    give_up_at: string;
    attempts: Generated<number>;
    last_problem: string | null;
    sent_at: string | null;
    given_up_at: string | null;
};
export type membership = {
    operation_id: string;
    id: string;
    person_id: string;
    /**
     * @kyselyType(Words['Role'])
     */
    role: Words['Role'];
    sees_prices: boolean;
    from_at: string;
    until_at: string | null;
    version: Generated<number>;
    created_at: Generated<string>;
    /**
     * When an owner said that this person is the one who was meant; null: it opens nothing yet.
     */
    confirmed_at: string | null;
    confirmed_by: string | null;
};
export type membership_change = {
    operation_id: string;
    id: string;
    membership_id: string;
    person_id: string;
    /**
     * @kyselyType(Words['MembershipChange'])
     */
    what: Words['MembershipChange'];
    /**
     * @kyselyType(Words['Role'])
     */
    role: Words['Role'];
    sees_prices: boolean;
    from_at: string;
    until_at: string | null;
    version: number;
    changed_at: Generated<string>;
    changed_by: string | null;
};
export type operation = {
    id: string;
    name: string;
    /**
     * @kyselyType(Words['UnitSystem'])
     */
    unit_preference: Words['UnitSystem'];
    /**
     * @kyselyType(Words['Currency'])
     */
    currency: Words['Currency'];
    time_zone: string;
    /**
     * @kyselyType(Words['CostingMethod'])
     */
    costing_method: Words['CostingMethod'];
    invented: Generated<boolean>;
    version: Generated<number>;
    created_at: Generated<string>;
    /**
     * Owner's policy: nobody without a confirmed second factor enters.
     */
    second_factor_required: Generated<boolean>;
    /**
     * Owner's policy: a key older than this opens nothing here; null: as long as it lasts.
     */
    key_days_most: number | null;
    /**
     * Owner's policy: consultants show a secret at least every so many hours; null: when their session ends.
     */
    consultant_hours_most: number | null;
};
export type operation_deletion = {
    operation_id: string;
    id: string;
    requested_by: string;
    reason: string;
    requested_at: Generated<string>;
    not_before: string;
    expires_at: string;
    cancelled_at: string | null;
    cancelled_by: string | null;
};
export type passkey = {
    id: string;
    person_id: string;
    name: string;
    /**
     * As the authenticator names it, in base64url.
     */
    credential_id: string;
    /**
     * COSE_Key in base64url.
     */
    public_key: string;
    /**
     * How often it has signed, by its own count; 0 where it keeps none.
     */
    counter: Generated<string>;
    /**
     * @kyselyType(Words['PasskeyTransport'])
     */
    transports: Words['PasskeyTransport'][];
    /**
     * Whether its keeper may copy it to other devices of the person.
     */
    backed_up: Generated<boolean>;
    created_at: Generated<string>;
    last_used_at: string | null;
    last_used_from: string | null;
    /**
     * When its count last was not above the one before, as with a copy.
     */
    count_fell_at: string | null;
    ended_at: string | null;
    version: Generated<number>;
};
export type person = {
    id: string;
    /**
     * What the person signs in with: a claim. Several accounts may name one address; a passphrase opens one of them.
     */
    email: string;
    name: string;
    passphrase_hash: string | null;
    created_at: Generated<string>;
    /**
     * Null: nobody has shown yet that this mail reaches the person.
     */
    email_proven_at: string | null;
    /**
     * The operation whose invitation made the account, or whose owner last helped it to a new passphrase; null: the
     * keeper of the server. The name is copied, since the operation shows to nobody outside.
     */
    vouched_by_operation: string | null;
    vouched_by_name: string | null;
    vouched_at: string | null;
    /**
     * Operations that the person ever opened.
     */
    operations_opened: Generated<number>;
};
export type person_key = {
    id: string;
    person_id: string;
    name: string;
    secret_hash: string;
    /**
     * @kyselyType(Words['PersonKeyScope'])
     */
    scopes: Words['PersonKeyScope'][];
    expires_at: string;
    created_at: Generated<string>;
    revoked_at: string | null;
    last_used_at: string | null;
    last_used_from: string | null;
    replaces_id: string | null;
    version: Generated<number>;
};
export type person_session = {
    id: string;
    person_id: string;
    created_at: Generated<string>;
    ended_at: string | null;
    /**
     * @kyselyType(Words['SessionEnd'])
     */
    ended_reason: Words['SessionEnd'] | null;
    user_agent: string | null;
    address: string | null;
    /**
     * When the person last gave the passphrase or a one-time code in this session.
     */
    proven_at: string | null;
};
export type place = {
    operation_id: string;
    id: string;
    ranch_id: string;
    name: string;
    /**
     * @kyselyType(Words['PlaceKind'])
     */
    kind: Words['PlaceKind'];
    bunk_length_value: string | null;
    /**
     * @kyselyType(Words['BunkLengthUnit'])
     */
    bunk_length_unit: Words['BunkLengthUnit'] | null;
    version: Generated<number>;
    created_at: Generated<string>;
};
export type ranch = {
    operation_id: string;
    id: string;
    name: string;
    time_zone: string;
    version: Generated<number>;
    created_at: Generated<string>;
};
export type ration = {
    operation_id: string;
    id: string;
    herd_id: string;
    name: string;
    /**
     * @kyselyType(Words['RationState'])
     */
    state: Words['RationState'];
    /**
     * @kyselyType(Words['LayerBasis'])
     */
    basis: Words['LayerBasis'];
    amount_kg: string;
    amount_value: string;
    /**
     * @kyselyType(Words['MassUnit'])
     */
    amount_unit: Words['MassUnit'];
    /**
     * @kyselyType(Words['AmountBasis'])
     */
    amount_basis: Words['AmountBasis'];
    /**
     * @kyselyType(Words['BaleRounding'])
     */
    bale_rounding: Words['BaleRounding'];
    wasted_percent: string | null;
    template_key: string | null;
    note: string | null;
    revision: Generated<number>;
    in_use_from: string | null;
    in_use_until: string | null;
    proposed_at: string | null;
    proposed_by: string | null;
    accepted_at: string | null;
    accepted_by: string | null;
    version: Generated<number>;
    created_at: Generated<string>;
    created_by: string;
};
export type ration_layer = {
    operation_id: string;
    ration_id: string;
    revision: number;
    position: number;
    part: number;
    /**
     * @kyselyType(Words['LayerRole'])
     */
    role: Words['LayerRole'];
    hay_lot_id: string;
    share_percent: string | null;
    share_value: string | null;
    per_head_kg: string | null;
    per_head_value: string | null;
    /**
     * @kyselyType(Words['MassUnit'])
     */
    per_head_unit: Words['MassUnit'] | null;
    free_choice: Generated<boolean>;
    density_kg_m3: string | null;
    density_value: string | null;
    /**
     * @kyselyType(Words['DensityUnit'])
     */
    density_unit: Words['DensityUnit'] | null;
};
export type ration_note = {
    operation_id: string;
    id: string;
    ration_id: string;
    /**
     * @kyselyType(Words['RationNoteKind'])
     */
    kind: Words['RationNoteKind'];
    words: string;
    recorded_at: Generated<string>;
    recorded_by: string;
};
export type recovery_code = {
    id: string;
    person_id: string;
    code_hash: string;
    created_at: Generated<string>;
    used_at: string | null;
};
export type recovery_token = {
    operation_id: string;
    id: string;
    /**
     * Copied, so that the account can say who vouches for it from then on.
     */
    operation_name: string | null;
    membership_id: string;
    person_id: string;
    token_hash: string;
    issued_by: string;
    created_at: Generated<string>;
    expires_at: string;
    used_at: string | null;
};
export type request_count = {
    subject_hash: string;
    ends_at: string;
    requests: number;
};
export type reversal = {
    operation_id: string;
    id: string;
    /**
     * @kyselyType(Words['RecordKind'])
     */
    subject_kind: Words['RecordKind'];
    subject_id: string;
    effective_on: string;
    reason: string;
    recorded_at: Generated<string>;
    recorded_by: string;
};
export type second_factor = {
    person_id: string;
    secret: string;
    created_at: Generated<string>;
    confirmed_at: string | null;
    last_step: number | null;
};
export type session_token = {
    id: string;
    session_id: string;
    person_id: string;
    access_hash: string;
    access_expires_at: string;
    refresh_hash: string;
    refresh_expires_at: string;
    refreshed_at: string | null;
    created_at: Generated<string>;
};
export type sign_in_attempt = {
    id: string;
    subject_hash: string;
    attempted_at: string;
};
export type spent_challenge = {
    challenge_hash: string;
    expires_at: string;
};
export type stock_cost = {
    operation_id: string;
    id: string;
    hay_lot_id: string;
    stock_movement_id: string | null;
    sequence: Generated<string>;
    /**
     * @kyselyType(Words['StockCostKind'])
     */
    kind: Words['StockCostKind'];
    amount: string;
    /**
     * Of a later bill, as it was typed.
     */
    amount_value: string | null;
    /**
     * @kyselyType(Words['Currency'])
     */
    currency: Words['Currency'];
    effective_on: string;
    /**
     * @kyselyType(Words['SubjectKind'])
     */
    source_kind: Words['SubjectKind'];
    source_id: string;
    reverses_id: string | null;
    recorded_at: Generated<string>;
    recorded_by: string;
};
export type stock_count = {
    operation_id: string;
    id: string;
    hay_lot_id: string;
    happened_on: string;
    counted_at: string;
    counted_kg: string;
    counted_value: string;
    /**
     * @kyselyType(Words['QuantityUnit'])
     */
    counted_unit: Words['QuantityUnit'];
    book_kg: string;
    /**
     * @kyselyType(Words['StockTreatment'])
     */
    treatment: Words['StockTreatment'];
    reason: string;
    /**
     * @kyselyType(Words['SubjectKind'])
     */
    draw_kind: Words['SubjectKind'] | null;
    draw_id: string | null;
    recorded_at: Generated<string>;
    recorded_by: string;
};
export type stock_movement = {
    operation_id: string;
    id: string;
    hay_lot_id: string;
    sequence: Generated<string>;
    /**
     * @kyselyType(Words['MovementKind'])
     */
    kind: Words['MovementKind'];
    kilograms: string;
    typed_value: string;
    /**
     * @kyselyType(Words['QuantityUnit'])
     */
    typed_unit: Words['QuantityUnit'];
    effective_on: string;
    effective_at: string;
    ranch_id: string;
    place_id: string | null;
    herd_id: string | null;
    /**
     * @kyselyType(Words['SubjectKind'])
     */
    source_kind: Words['SubjectKind'];
    source_id: string;
    reverses_id: string | null;
    reason: string | null;
    recorded_at: Generated<string>;
    recorded_by: string;
};
export type storage_measurement = {
    operation_id: string;
    id: string;
    ranch_id: string | null;
    /**
     * @kyselyType(Words['StorageMethod'])
     */
    storage_method: Words['StorageMethod'];
    happened_on: string;
    season_share: string;
    how: string;
    recorded_at: Generated<string>;
    recorded_by: string;
};
export type storage_shrink = {
    operation_id: string;
    id: string;
    hay_lot_id: string;
    happened_on: string;
    /**
     * @kyselyType(Words['ShrinkBasis'])
     */
    basis: Words['ShrinkBasis'];
    weight_kg: string;
    weight_value: string;
    /**
     * @kyselyType(Words['QuantityUnit'])
     */
    weight_unit: Words['QuantityUnit'];
    weight_typed: unknown | null;
    /**
     * @kyselyType(Words['StockTreatment'])
     */
    treatment: Words['StockTreatment'];
    from_on: string | null;
    season_share: string | null;
    figure: string | null;
    source: string | null;
    reason: string | null;
    note: string | null;
    recorded_at: Generated<string>;
    recorded_by: string;
};
export type trial = {
    operation_id: string;
    id: string;
    name: string;
    herd_id: string;
    /**
     * @kyselyType(Words['TrialState'])
     */
    state: Words['TrialState'];
    plan: unknown;
    plan_answer: unknown | null;
    begins_on: string | null;
    begun_at: string | null;
    closed_on: string | null;
    close_reason: string | null;
    version: Generated<number>;
    created_at: Generated<string>;
    created_by: string;
};
export type trial_amendment = {
    operation_id: string;
    id: string;
    trial_id: string;
    number: number;
    amended_on: string;
    reason: string;
    changes: unknown;
    recorded_at: Generated<string>;
    recorded_by: string;
};
export type trial_animal = {
    operation_id: string;
    trial_draw_id: string;
    position: number;
    arm_id: string;
    pen: string | null;
    block: number;
    visual_tag: string | null;
    electronic_id: string | null;
    start_kg: string;
};
export type trial_arm = {
    operation_id: string;
    id: string;
    trial_id: string;
    position: number;
    name: string;
    /**
     * @kyselyType(Words['TrialArmRole'])
     */
    role: Words['TrialArmRole'];
    feeding: string;
};
export type trial_draw = {
    operation_id: string;
    id: string;
    trial_id: string;
    number: number;
    seed: string;
    generator: string;
    weigh_in_ids: string[];
    reason: string | null;
    answer: unknown;
    recorded_at: Generated<string>;
    recorded_by: string;
};
export type trial_event = {
    operation_id: string;
    id: string;
    trial_id: string;
    trial_draw_id: string;
    animal_position: number;
    /**
     * @kyselyType(Words['TrialEventKind'])
     */
    kind: Words['TrialEventKind'];
    happened_on: string;
    note: string | null;
    recorded_at: Generated<string>;
    recorded_by: string;
};
export type trial_herd = {
    operation_id: string;
    id: string;
    trial_id: string;
    arm_id: string;
    pen: string | null;
    herd_id: string;
    recorded_at: Generated<string>;
    recorded_by: string;
};
export type trial_judgement = {
    operation_id: string;
    id: string;
    trial_id: string;
    number: number;
    as_of: string;
    look: number;
    final: boolean;
    peeking: boolean;
    verdict: string;
    data_hash: string;
    inputs_hash: string;
    inputs: unknown;
    result: unknown;
    recorded_at: Generated<string>;
    recorded_by: string;
};
export type trial_judgement_money = {
    operation_id: string;
    trial_judgement_id: string;
    inputs_hash: string;
    inputs: unknown;
    result: unknown;
};
export type water_check = {
    operation_id: string;
    id: string;
    place_id: string;
    source_name: string;
    happened_on: string;
    happened_at: string | null;
    /**
     * @kyselyType(Words['WaterState'])
     */
    state: Words['WaterState'];
    flow_litres_a_minute: string | null;
    flow_value: string | null;
    /**
     * @kyselyType(Words['FlowUnit'])
     */
    flow_unit: Words['FlowUnit'] | null;
    tank_litres: string | null;
    tank_value: string | null;
    /**
     * @kyselyType(Words['TankUnit'])
     */
    tank_unit: Words['TankUnit'] | null;
    dissolved_solids: string | null;
    sulfate: string | null;
    note: string | null;
    recorded_at: Generated<string>;
    recorded_by: string;
};
export type weather_day = {
    operation_id: string;
    id: string;
    ranch_id: string;
    happened_on: string;
    temperature_c: string;
    temperature_value: string;
    /**
     * @kyselyType(Words['TemperatureUnit'])
     */
    temperature_unit: Words['TemperatureUnit'];
    wind_km_h: string | null;
    wind_value: string | null;
    /**
     * @kyselyType(Words['SpeedUnit'])
     */
    wind_unit: Words['SpeedUnit'] | null;
    wet: boolean;
    mud_cm: string | null;
    mud_value: string | null;
    /**
     * @kyselyType(Words['MudDepthUnit'])
     */
    mud_unit: Words['MudDepthUnit'] | null;
    /**
     * @kyselyType(Words['CoatCondition'])
     */
    coat: Words['CoatCondition'] | null;
    note: string | null;
    recorded_at: Generated<string>;
    recorded_by: string;
};
export type webhook = {
    operation_id: string;
    id: string;
    label: string;
    url: string;
    /**
     * @kyselyType(Words['WebhookKind'])
     */
    kinds: Words['WebhookKind'][];
    low_hay_days: number;
    /**
     * @kyselyType(Words['WebhookState'])
     */
    state: Words['WebhookState'];
    /**
     * @kyselyType(Words['WebhookEnd'])
     */
    ended_because: Words['WebhookEnd'] | null;
    /**
     * The owner who answers for it; it rests once they are owner no more.
     */
    answered_by: string;
    /**
     * What it signs with, sealed; null once it has ended.
     */
    secret: string | null;
    secret_made_at: string;
    /**
     * The secret before, sealed, which signs too until then.
     */
    old_secret: string | null;
    old_secret_until: string | null;
    version: Generated<number>;
    created_at: Generated<string>;
    /**
     * Until then one process delivers for it, and no other.
     */
    turn_until: string | null;
    /**
     * Until then nothing is sent: the receiver asked for it, or has failed several times in a row.
     */
    rest_until: string | null;
    failures_in_row: Generated<number>;
    failing_since: string | null;
    last_delivered_at: string | null;
    /**
     * Since when hay has been low, as was told; null while it lasts.
     */
    low_hay_since: string | null;
    hay_judged_on: string | null;
};
export type webhook_attempt = {
    operation_id: string;
    webhook_delivery_id: string;
    number: number;
    began_at: string;
    took_ms: number | null;
    status: number | null;
    problem: string | null;
    /**
     * The beginning of the answer, as plain text.
     */
    answer: string | null;
};
export type webhook_delivery = {
    operation_id: string;
    id: string;
    webhook_id: string;
    /**
     * Names the happening to whoever receives it, however often it is sent.
     */
    message: string;
    /**
     * @kyselyType(Words['WebhookKind'])
     */
    kind: Words['WebhookKind'];
    happened_at: string;
    /**
     * Which records and lines of the audit; no figure of theirs.
     */
    about: unknown;
    /**
     * @kyselyType(Words['DeliveryState'])
     */
    state: Words['DeliveryState'];
    created_at: string;
    next_try_at: string | null;
    /**
     * Attempts since it was first sent, or sent again on request.
     */
    tries: Generated<number>;
    /**
     * Attempts in all.
     */
    attempts: Generated<number>;
    /**
     * Since when an attempt is under way whose end nobody has noted.
     */
    trying_since: string | null;
    last_status: number | null;
    last_problem: string | null;
    ended_at: string | null;
};
export type weigh_in = {
    operation_id: string;
    id: string;
    herd_id: string;
    happened_on: string;
    happened_at: string | null;
    /**
     * @kyselyType(Words['WeighInScope'])
     */
    scope: Words['WeighInScope'];
    /**
     * @kyselyType(Words['WeighingFill'])
     */
    fill: Words['WeighingFill'];
    shrink_pct: string | null;
    hours_off_feed: string | null;
    scale: string | null;
    head: number;
    mean_kg: string;
    typed_value: string;
    /**
     * @kyselyType(Words['MassUnit'])
     */
    typed_unit: Words['MassUnit'];
    /**
     * @kyselyType(Words['WeighedMeasure'])
     */
    typed_measure: Words['WeighedMeasure'];
    note: string | null;
    recorded_at: Generated<string>;
    recorded_by: string;
};
export type yardage_rate = {
    operation_id: string;
    id: string;
    herd_id: string | null;
    from_on: string;
    amount: string;
    /**
     * @kyselyType(Words['Currency'])
     */
    currency: Words['Currency'];
    recorded_at: Generated<string>;
    recorded_by: string;
};
export type DB = {
    account_event: account_event;
    account_map: account_map;
    animal_weight: animal_weight;
    api_key: api_key;
    audit_entry: audit_entry;
    book_closing: book_closing;
    book_reopening: book_reopening;
    budget_entry: budget_entry;
    closed_report: closed_report;
    confirmed_entry: confirmed_entry;
    costed_entry: costed_entry;
    costing_due: costing_due;
    costing_pool: costing_pool;
    costing_state: costing_state;
    data_import: data_import;
    data_import_record: data_import_record;
    data_import_reversal: data_import_reversal;
    denied_attempt: denied_attempt;
    email_link: email_link;
    engagement: engagement;
    engagement_archive: engagement_archive;
    engagement_proposal: engagement_proposal;
    entry_correction: entry_correction;
    erased_operation: erased_operation;
    feed_sheet_confirmation: feed_sheet_confirmation;
    feed_sheet_lot: feed_sheet_lot;
    feeding: feeding;
    feeding_layer: feeding_layer;
    harvest: harvest;
    harvest_cost: harvest_cost;
    hay_budget_plan: hay_budget_plan;
    hay_budget_plan_price: hay_budget_plan_price;
    hay_lot: hay_lot;
    hay_observation: hay_observation;
    hay_purchase: hay_purchase;
    hay_purchase_price: hay_purchase_price;
    hay_quote: hay_quote;
    hay_quote_price: hay_quote_price;
    hay_quote_purchase: hay_quote_purchase;
    hay_sale: hay_sale;
    hay_sale_price: hay_sale_price;
    hay_transfer: hay_transfer;
    head_change: head_change;
    head_change_price: head_change_price;
    herd: herd;
    herd_cost: herd_cost;
    herd_cost_money: herd_cost_money;
    herd_event: herd_event;
    idempotency_record: idempotency_record;
    import_mapping: import_mapping;
    invitation: invitation;
    lab_test: lab_test;
    late_cost: late_cost;
    late_posting: late_posting;
    layer_template: layer_template;
    mail_outbox: mail_outbox;
    membership: membership;
    membership_change: membership_change;
    operation: operation;
    operation_deletion: operation_deletion;
    passkey: passkey;
    person: person;
    person_key: person_key;
    person_session: person_session;
    place: place;
    ranch: ranch;
    ration: ration;
    ration_layer: ration_layer;
    ration_note: ration_note;
    recovery_code: recovery_code;
    recovery_token: recovery_token;
    request_count: request_count;
    reversal: reversal;
    second_factor: second_factor;
    session_token: session_token;
    sign_in_attempt: sign_in_attempt;
    spent_challenge: spent_challenge;
    stock_cost: stock_cost;
    stock_count: stock_count;
    stock_movement: stock_movement;
    storage_measurement: storage_measurement;
    storage_shrink: storage_shrink;
    trial: trial;
    trial_amendment: trial_amendment;
    trial_animal: trial_animal;
    trial_arm: trial_arm;
    trial_draw: trial_draw;
    trial_event: trial_event;
    trial_herd: trial_herd;
    trial_judgement: trial_judgement;
    trial_judgement_money: trial_judgement_money;
    water_check: water_check;
    weather_day: weather_day;
    webhook: webhook;
    webhook_attempt: webhook_attempt;
    webhook_delivery: webhook_delivery;
    weigh_in: weigh_in;
    yardage_rate: yardage_rate;
};
