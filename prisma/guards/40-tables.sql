-- One row for each table of an operation's records: the acts needed to read a row, add one, change one (null: never),
-- and delete one (null: never), and the column of the day that may not fall in a closed period (null: the row is not an
-- entry in the books). The guards that follow are made from these rows: 41-policies, 50-append-only, 61-closing. Two
-- acts joined by `or` mean that either will do. Tables under other rules are in 42-policies-of-people.sql.
CREATE TEMPORARY TABLE guarded_table (
  table_name text PRIMARY KEY,
  key_column text NOT NULL DEFAULT 'operation_id',
  read_act text NOT NULL,
  insert_act text NOT NULL,
  update_act text,
  delete_act text,
  closed_day text
) ON COMMIT DROP;

INSERT INTO guarded_table (table_name, key_column, read_act, insert_act, update_act)
VALUES ('operation', 'id', 'read', 'own', 'own');

INSERT INTO guarded_table (table_name, read_act, insert_act, update_act, delete_act, closed_day) VALUES
  -- table                    read      insert             update             delete  day
  -- the yard
  ('ranch',                   'read',   'records',         'records',         NULL,   NULL),
  ('place',                   'read',   'records',         'records',         NULL,   NULL),
  ('weather_day',             'read',   'daily',           NULL,              NULL,   NULL),
  ('water_check',             'read',   'daily',           NULL,              NULL,   NULL),
  -- cattle
  ('herd',                    'read',   'records',         'records',         NULL,   NULL),
  ('head_change',             'read',   'records',         NULL,              NULL,   'happened_on'),
  ('head_change_price',       'prices', 'records',         NULL,              NULL,   'happened_on'),
  ('herd_cost',               'read',   'records',         NULL,              NULL,   'happened_on'),
  ('herd_cost_money',         'prices', 'records',         NULL,              NULL,   NULL),
  -- what a herd is entered with becomes its first events, so whoever may enter herds may add them
  ('herd_event',              'read',   'daily or records', NULL,             NULL,   NULL),
  ('weigh_in',                'read',   'daily',           NULL,              NULL,   NULL),
  ('animal_weight',           'read',   'daily',           NULL,              NULL,   NULL),
  ('yardage_rate',            'prices', 'records',         NULL,              NULL,   'from_on'),
  -- hay
  ('hay_lot',                 'read',   'records',         'records',         NULL,   NULL),
  ('hay_purchase',            'read',   'records',         NULL,              NULL,   'happened_on'),
  ('hay_purchase_price',      'prices', 'records',         NULL,              NULL,   NULL),
  ('harvest',                 'read',   'records',         NULL,              NULL,   'happened_on'),
  ('harvest_cost',            'prices', 'records',         NULL,              NULL,   NULL),
  ('hay_sale',                'read',   'records',         NULL,              NULL,   'happened_on'),
  ('hay_sale_price',          'prices', 'records',         NULL,              NULL,   NULL),
  ('hay_transfer',            'read',   'records',         NULL,              NULL,   'happened_on'),
  ('stock_count',             'read',   'records',         NULL,              NULL,   'happened_on'),
  ('storage_shrink',          'read',   'records',         NULL,              NULL,   'happened_on'),
  ('storage_measurement',     'read',   'records',         NULL,              NULL,   NULL),
  ('late_cost',               'read',   'records',         NULL,              NULL,   'happened_on'),
  ('hay_quote',               'read',   'records',         NULL,              NULL,   NULL),
  ('hay_quote_price',         'prices', 'records',         NULL,              NULL,   NULL),
  ('hay_quote_purchase',      'read',   'records',         NULL,              NULL,   NULL),
  ('lab_test',                'read',   'records',         NULL,              NULL,   NULL),
  ('hay_observation',         'read',   'daily',           NULL,              NULL,   NULL),
  ('stock_movement',          'read',   'daily',           NULL,              NULL,   'effective_on'),
  -- Whoever reverses must see the money that is reversed: stock_cost_read is in 42-policies-of-people.sql.
  ('stock_cost',              'prices', 'records',         NULL,              NULL,   'effective_on'),
  -- What the ledger's entries cost, kept: 63-costing.sql lets whoever enters hay write it.
  ('costed_entry',            'prices', 'daily or records', NULL,             'daily or records', NULL),
  ('costing_state',           'prices', 'daily or records', 'daily or records', 'daily or records', NULL),
  ('costing_pool',            'read',   'daily or records', 'daily or records', NULL, NULL),
  ('costing_due',             'read',   'daily or records', NULL,             'daily or records', NULL),
  -- feeding and reversals
  ('feeding',                 'read',   'daily',           NULL,              NULL,   'happened_on'),
  ('feeding_layer',           'read',   'daily',           NULL,              NULL,   NULL),
  ('reversal',                'read',   'daily',           NULL,              NULL,   NULL),
  ('late_posting',            'read',   'daily',           NULL,              NULL,   NULL),
  ('entry_correction',        'read',   'daily',           NULL,              NULL,   NULL),
  -- What is about money shows with prices only: confirmed_entry_read is in 42-policies-of-people.sql.
  ('confirmed_entry',         'read',   'daily or records', NULL,             NULL,   NULL),
  -- imports
  ('data_import',             'read',   'daily',           'daily',           NULL,   NULL),
  ('data_import_record',      'read',   'daily',           NULL,              NULL,   NULL),
  ('data_import_reversal',    'read',   'daily',           NULL,              NULL,   NULL),
  ('import_mapping',          'read',   'daily',           NULL,              NULL,   NULL),
  -- the desk; 71-rations.sql says what may change in a ration, and by whom
  ('ration',                  'read',   'desk',            'desk or records', NULL,   NULL),
  ('ration_layer',            'read',   'desk',            NULL,              NULL,   NULL),
  ('ration_note',             'read',   'desk or records', NULL,              NULL,   NULL),
  ('layer_template',          'read',   'desk',            'desk',            NULL,   NULL),
  ('feed_sheet_confirmation', 'read',   'daily',           NULL,              NULL,   NULL),
  ('feed_sheet_lot',          'read',   'daily',           NULL,              NULL,   NULL),
  -- trials; 72-trials.sql says what is frozen when
  ('trial',                   'read',   'desk',            'desk',            NULL,   NULL),
  ('trial_arm',               'read',   'desk',            'desk',            'desk', NULL),
  ('trial_draw',              'read',   'desk',            NULL,              NULL,   NULL),
  ('trial_animal',            'read',   'desk',            NULL,              NULL,   NULL),
  ('trial_herd',              'read',   'desk',            NULL,              NULL,   NULL),
  ('trial_event',             'read',   'daily',           NULL,              NULL,   NULL),
  ('trial_amendment',         'read',   'desk',            NULL,              NULL,   NULL),
  ('trial_judgement',         'read',   'desk',            NULL,              NULL,   NULL),
  ('trial_judgement_money',   'prices', 'desk',            NULL,              NULL,   NULL),
  -- the office
  ('account_map',             'read',   'office',          'office',          NULL,   NULL),
  ('book_closing',            'read',   'office',          NULL,              NULL,   NULL),
  ('book_reopening',          'read',   'office',          NULL,              NULL,   NULL),
  ('closed_report',           'prices', 'office',          NULL,              NULL,   NULL),
  ('budget_entry',            'prices', 'office',          NULL,              NULL,   NULL),
  ('hay_budget_plan',         'read',   'records',         NULL,              NULL,   NULL),
  ('hay_budget_plan_price',   'prices', 'records',         NULL,              NULL,   NULL);
