-- What somebody saw, smelled or measured on a lot: mold, dust, smell, color, heat, the probe. Only added to.
CREATE TABLE "hay_observation" (
    "operation_id" UUID NOT NULL,
    "id" UUID NOT NULL,
    "hay_lot_id" UUID NOT NULL,
    "happened_on" DATE NOT NULL,
    "seen_by_name" TEXT,
    "bales_checked" INTEGER,
    "mold" TEXT,
    "bales_moldy" INTEGER,
    "dust" TEXT,
    "bales_spoiled" INTEGER,
    "smell" TEXT,
    "color" TEXT,
    "heat_felt" TEXT,
    "temperature_c" DECIMAL(7,3),
    "temperature_value" TEXT,
    "temperature_unit" TEXT,
    "depth_value" TEXT,
    "depth_unit" TEXT,
    "moisture_percent" DECIMAL,
    "note" TEXT,
    "recorded_at" TIMESTAMPTZ(6) NOT NULL DEFAULT CURRENT_TIMESTAMP,
    "recorded_by" UUID NOT NULL,

    CONSTRAINT "hay_observation_pkey" PRIMARY KEY ("operation_id","id")
);
CREATE INDEX "hay_observation_operation_id_hay_lot_id_happened_on_idx" ON "hay_observation"("operation_id", "hay_lot_id", "happened_on");
ALTER TABLE "hay_observation" ADD CONSTRAINT "hay_observation_operation_id_hay_lot_id_fkey" FOREIGN KEY ("operation_id", "hay_lot_id") REFERENCES "hay_lot"("operation_id", "id") ON DELETE RESTRICT ON UPDATE RESTRICT;
ALTER TABLE "hay_observation" ADD CONSTRAINT "hay_observation_recorded_by_fkey" FOREIGN KEY ("recorded_by") REFERENCES "person"("id") ON DELETE RESTRICT ON UPDATE RESTRICT;

ALTER TABLE hay_observation
  ADD CONSTRAINT hay_observation_says_something CHECK (
    num_nonnulls(mold, dust, bales_spoiled, smell, color, heat_felt, temperature_c, moisture_percent, note) > 0),
  ADD CONSTRAINT hay_observation_bales CHECK (
    (bales_checked IS NULL OR bales_checked > 0)
    AND (bales_moldy IS NULL OR (mold IS NOT NULL AND bales_moldy >= 0
      AND (bales_checked IS NULL OR bales_moldy <= bales_checked)))
    AND (bales_spoiled IS NULL OR (bales_spoiled >= 0
      AND (bales_checked IS NULL OR bales_spoiled <= bales_checked)))),
  ADD CONSTRAINT hay_observation_temperature CHECK (
    (temperature_c IS NULL) = (temperature_value IS NULL) AND (temperature_c IS NULL) = (temperature_unit IS NULL)
    AND (depth_value IS NULL OR temperature_c IS NOT NULL) AND (depth_value IS NULL) = (depth_unit IS NULL)),
  ADD CONSTRAINT hay_observation_moisture CHECK (moisture_percent IS NULL OR moisture_percent BETWEEN 0 AND 100);
