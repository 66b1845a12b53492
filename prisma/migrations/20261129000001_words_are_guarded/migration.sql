-- Which words may stand in a column is a rule as it stands now: prisma/guards/25-words.sql makes these checks from the
-- lists of the program.
ALTER TABLE operation DROP CONSTRAINT operation_units, DROP CONSTRAINT operation_costing;
ALTER TABLE membership DROP CONSTRAINT membership_role;
ALTER TABLE membership_change DROP CONSTRAINT membership_change_what;
ALTER TABLE invitation DROP CONSTRAINT invitation_role;
ALTER TABLE engagement
  DROP CONSTRAINT engagement_state,
  DROP CONSTRAINT engagement_begun_by,
  DROP CONSTRAINT engagement_ended_by,
  DROP CONSTRAINT engagement_after_end;
ALTER TABLE engagement_proposal DROP CONSTRAINT engagement_proposal_state;
ALTER TABLE head_change DROP CONSTRAINT head_change_kind;
ALTER TABLE hay_lot DROP CONSTRAINT hay_lot_category, DROP CONSTRAINT hay_lot_origin;
ALTER TABLE hay_quote DROP CONSTRAINT hay_quote_category;
ALTER TABLE stock_movement DROP CONSTRAINT stock_movement_kind;
ALTER TABLE stock_count DROP CONSTRAINT stock_count_treatment;
ALTER TABLE storage_shrink DROP CONSTRAINT storage_shrink_basis, DROP CONSTRAINT storage_shrink_treatment;
ALTER TABLE late_cost DROP CONSTRAINT late_cost_receipt, DROP CONSTRAINT late_cost_owed;
ALTER TABLE feeding_layer DROP CONSTRAINT feeding_layer_role;
ALTER TABLE weigh_in DROP CONSTRAINT weigh_in_scope, DROP CONSTRAINT weigh_in_fill;
ALTER TABLE weather_day DROP CONSTRAINT weather_day_units;
ALTER TABLE water_check DROP CONSTRAINT water_check_state;
ALTER TABLE ration DROP CONSTRAINT ration_state, DROP CONSTRAINT ration_basis, DROP CONSTRAINT ration_rounding;
ALTER TABLE ration_layer DROP CONSTRAINT ration_layer_role;
ALTER TABLE ration_note DROP CONSTRAINT ration_note_kind;
ALTER TABLE layer_template DROP CONSTRAINT layer_template_basis;
ALTER TABLE trial DROP CONSTRAINT trial_state;
ALTER TABLE trial_arm DROP CONSTRAINT trial_arm_role;
ALTER TABLE trial_event DROP CONSTRAINT trial_event_kind;
ALTER TABLE data_import DROP CONSTRAINT data_import_state, DROP CONSTRAINT data_import_kind;
