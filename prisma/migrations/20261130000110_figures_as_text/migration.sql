-- Figures without a unit that may be less than one are kept as they were typed: ".5" is not the same text as "0.5".
-- What is left of them as numbers are those that never begin with the point.
ALTER TABLE "weigh_in"
  DROP CONSTRAINT "weigh_in_shrink_share",
  ALTER COLUMN "shrink_pct" TYPE TEXT USING "shrink_pct"::text;
ALTER TABLE "weigh_in"
  DROP CONSTRAINT "weigh_in_hours",
  ALTER COLUMN "hours_off_feed" TYPE TEXT USING "hours_off_feed"::text;
ALTER TABLE "yardage_rate"
  DROP CONSTRAINT "yardage_rate_amount",
  DROP CONSTRAINT "yardage_rate_size",
  ALTER COLUMN "amount" TYPE TEXT USING "amount"::text;
ALTER TABLE "hay_sale"
  DROP CONSTRAINT "hay_sale_bales_counted",
  ALTER COLUMN "bale_count" TYPE TEXT USING "bale_count"::text;
ALTER TABLE "hay_transfer"
  DROP CONSTRAINT "hay_transfer_bales_counted",
  ALTER COLUMN "bale_count" TYPE TEXT USING "bale_count"::text;
ALTER TABLE "storage_measurement"
  DROP CONSTRAINT "storage_measurement_share",
  ALTER COLUMN "season_share" TYPE TEXT USING "season_share"::text;
ALTER TABLE "ration"
  DROP CONSTRAINT "ration_waste",
  ALTER COLUMN "wasted_percent" TYPE TEXT USING "wasted_percent"::text;
ALTER TABLE "water_check"
  DROP CONSTRAINT "water_check_amounts",
  DROP CONSTRAINT "water_check_solids",
  ALTER COLUMN "dissolved_solids" TYPE TEXT USING "dissolved_solids"::text;
ALTER TABLE "water_check"
  DROP CONSTRAINT "water_check_sulfate",
  ALTER COLUMN "sulfate" TYPE TEXT USING "sulfate"::text;
ALTER TABLE "water_check"
  ADD CONSTRAINT "water_check_amounts" CHECK (
    ("flow_litres_a_minute" IS NULL OR "flow_litres_a_minute" >= 0) AND ("tank_litres" IS NULL OR "tank_litres" >= 0));
ALTER TABLE "weigh_in" ADD CONSTRAINT "weigh_in_shrink_share" CHECK ("shrink_pct" IS NULL OR CASE
  WHEN "shrink_pct" ~ '^([0-9]+([.][0-9]+)?|[.][0-9]+)$' THEN "shrink_pct"::numeric >= 0 AND "shrink_pct"::numeric < 100 ELSE false END);
ALTER TABLE "weigh_in" ADD CONSTRAINT "weigh_in_hours" CHECK ("hours_off_feed" IS NULL OR CASE
  WHEN "hours_off_feed" ~ '^([0-9]+([.][0-9]+)?|[.][0-9]+)$' THEN "hours_off_feed"::numeric >= 0 AND "hours_off_feed"::numeric < 10000 ELSE false END);
ALTER TABLE "yardage_rate" ADD CONSTRAINT "yardage_rate_size" CHECK ("amount" IS NULL OR CASE
  WHEN "amount" ~ '^([0-9]+([.][0-9]+)?|[.][0-9]+)$' THEN "amount"::numeric >= 0 AND "amount"::numeric < 100000000000000 ELSE false END);
ALTER TABLE "hay_sale" ADD CONSTRAINT "hay_sale_bales_counted" CHECK ("bale_count" IS NULL OR CASE
  WHEN "bale_count" ~ '^([0-9]+([.][0-9]+)?|[.][0-9]+)$' THEN "bale_count"::numeric > 0 AND "bale_count"::numeric < 1000000000 ELSE false END);
ALTER TABLE "hay_transfer" ADD CONSTRAINT "hay_transfer_bales_counted" CHECK ("bale_count" IS NULL OR CASE
  WHEN "bale_count" ~ '^([0-9]+([.][0-9]+)?|[.][0-9]+)$' THEN "bale_count"::numeric > 0 AND "bale_count"::numeric < 1000000000 ELSE false END);
ALTER TABLE "storage_measurement" ADD CONSTRAINT "storage_measurement_share" CHECK ("season_share" IS NULL OR CASE
  WHEN "season_share" ~ '^([0-9]+([.][0-9]+)?|[.][0-9]+)$' THEN "season_share"::numeric >= 0 AND "season_share"::numeric < 1 ELSE false END);
ALTER TABLE "ration" ADD CONSTRAINT "ration_waste" CHECK ("wasted_percent" IS NULL OR CASE
  WHEN "wasted_percent" ~ '^([0-9]+([.][0-9]+)?|[.][0-9]+)$' THEN "wasted_percent"::numeric >= 0 AND "wasted_percent"::numeric < 100 ELSE false END);
ALTER TABLE "water_check" ADD CONSTRAINT "water_check_solids" CHECK ("dissolved_solids" IS NULL OR CASE
  WHEN "dissolved_solids" ~ '^([0-9]+([.][0-9]+)?|[.][0-9]+)$' THEN "dissolved_solids"::numeric >= 0 AND "dissolved_solids"::numeric < 10000000 ELSE false END);
ALTER TABLE "water_check" ADD CONSTRAINT "water_check_sulfate" CHECK ("sulfate" IS NULL OR CASE
  WHEN "sulfate" ~ '^([0-9]+([.][0-9]+)?|[.][0-9]+)$' THEN "sulfate"::numeric >= 0 AND "sulfate"::numeric < 10000000 ELSE false END);
