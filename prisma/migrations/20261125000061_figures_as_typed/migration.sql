-- Figures that a person types and that have no unit beside them keep the digits they were typed with: 14, 14.0 and 14.50 read back as 14,
-- 14.0 and 14.50. A numeric without a fixed scale keeps the scale of what is put in. What a fixed scale held off, a check holds off now.

ALTER TABLE "herd" ALTER COLUMN "body_condition" TYPE DECIMAL;
ALTER TABLE "hay_purchase" ALTER COLUMN "moisture_pct" TYPE DECIMAL;
ALTER TABLE "harvest" ALTER COLUMN "moisture_pct" TYPE DECIMAL;
ALTER TABLE "feeding_layer" ALTER COLUMN "bale_count" TYPE DECIMAL;
ALTER TABLE "hay_sale" ALTER COLUMN "bale_count" TYPE DECIMAL;
ALTER TABLE "hay_transfer" ALTER COLUMN "bale_count" TYPE DECIMAL;
ALTER TABLE "weigh_in" ALTER COLUMN "shrink_pct" TYPE DECIMAL, ALTER COLUMN "hours_off_feed" TYPE DECIMAL;
ALTER TABLE "storage_measurement" ALTER COLUMN "season_share" TYPE DECIMAL;
ALTER TABLE "water_check" ALTER COLUMN "dissolved_solids" TYPE DECIMAL, ALTER COLUMN "sulfate" TYPE DECIMAL;
ALTER TABLE "ration" ALTER COLUMN "wasted_percent" TYPE DECIMAL;
ALTER TABLE "yardage_rate" ALTER COLUMN "amount" TYPE DECIMAL;

ALTER TABLE "herd" ADD CONSTRAINT "herd_body_condition_scale" CHECK ("body_condition" IS NULL OR ("body_condition" BETWEEN 1 AND 9));
ALTER TABLE "feeding_layer" ADD CONSTRAINT "feeding_layer_bales" CHECK ("bale_count" IS NULL OR ("bale_count" > 0 AND "bale_count" < 1000000000));
ALTER TABLE "hay_sale" ADD CONSTRAINT "hay_sale_bales_counted" CHECK ("bale_count" IS NULL OR ("bale_count" > 0 AND "bale_count" < 1000000000));
ALTER TABLE "hay_transfer" ADD CONSTRAINT "hay_transfer_bales_counted" CHECK ("bale_count" IS NULL OR ("bale_count" > 0 AND "bale_count" < 1000000000));
ALTER TABLE "weigh_in"
  ADD CONSTRAINT "weigh_in_shrink_share" CHECK ("shrink_pct" IS NULL OR ("shrink_pct" >= 0 AND "shrink_pct" < 100)),
  ADD CONSTRAINT "weigh_in_hours" CHECK ("hours_off_feed" IS NULL OR ("hours_off_feed" >= 0 AND "hours_off_feed" < 10000));
ALTER TABLE "water_check"
  ADD CONSTRAINT "water_check_solids" CHECK ("dissolved_solids" IS NULL OR ("dissolved_solids" >= 0 AND "dissolved_solids" < 10000000)),
  ADD CONSTRAINT "water_check_sulfate" CHECK ("sulfate" IS NULL OR ("sulfate" >= 0 AND "sulfate" < 10000000));
ALTER TABLE "yardage_rate" ADD CONSTRAINT "yardage_rate_size" CHECK ("amount" >= 0 AND "amount" < 100000000000000);

-- How a weight was told, whole: net, the truck weighed full and empty, so many bales of such a weight. The kilograms beside it follow from it.
ALTER TABLE "hay_purchase" ADD COLUMN "weight_typed" JSONB;
ALTER TABLE "harvest" ADD COLUMN "weight_typed" JSONB;
ALTER TABLE "hay_quote" ADD COLUMN "weight_typed" JSONB;
ALTER TABLE "hay_sale" ADD COLUMN "weight_typed" JSONB;
ALTER TABLE "hay_transfer" ADD COLUMN "weight_typed" JSONB;
ALTER TABLE "storage_shrink" ADD COLUMN "weight_typed" JSONB;
