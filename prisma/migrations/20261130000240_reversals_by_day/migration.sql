-- Few movements are reversals; a report looks for those of its days.
CREATE INDEX stock_movement_reversals_idx ON stock_movement (operation_id, effective_on) WHERE reverses_id IS NOT NULL;
