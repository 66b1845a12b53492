-- A register of all herds, lots or places is read newest first, in turns.
CREATE INDEX "head_change_operation_id_happened_on_id_idx" ON "head_change"("operation_id", "happened_on", "id");
CREATE INDEX "weigh_in_operation_id_happened_on_id_idx" ON "weigh_in"("operation_id", "happened_on", "id");
CREATE INDEX "hay_observation_operation_id_happened_on_id_idx" ON "hay_observation"("operation_id", "happened_on", "id");
CREATE INDEX "water_check_operation_id_happened_on_id_idx" ON "water_check"("operation_id", "happened_on", "id");
CREATE INDEX "weather_day_operation_id_happened_on_id_idx" ON "weather_day"("operation_id", "happened_on", "id");
