-- What happened to a herd is written down with its day, and what the herd is on a day is read from that. Stage, score,
-- class, gain wanted and place were one column each, so that this year's breeding took last winter's away.
CREATE TABLE "herd_event" (
    "operation_id" UUID NOT NULL,
    "id" UUID NOT NULL,
    "herd_id" UUID NOT NULL,
    "kind" TEXT NOT NULL,
    "happened_on" DATE NOT NULL,
    "median_on" DATE,
    "last_on" DATE,
    "service" TEXT,
    "head_checked" INTEGER,
    "head_open" INTEGER,
    "body_condition" DECIMAL,
    "cattle_class" TEXT,
    "place_id" UUID,
    "mass_kg" DECIMAL(24,12),
    "mass_value" TEXT,
    "mass_unit" TEXT,
    "note" TEXT,
    "recorded_at" TIMESTAMPTZ(6) NOT NULL DEFAULT CURRENT_TIMESTAMP,
    "recorded_by" UUID NOT NULL,

    CONSTRAINT "herd_event_pkey" PRIMARY KEY ("operation_id","id")
);
CREATE INDEX "herd_event_operation_id_herd_id_happened_on_idx" ON "herd_event"("operation_id", "herd_id", "happened_on");
ALTER TABLE "herd_event" ADD CONSTRAINT "herd_event_operation_id_herd_id_fkey" FOREIGN KEY ("operation_id", "herd_id") REFERENCES "herd"("operation_id", "id") ON DELETE RESTRICT ON UPDATE RESTRICT;
ALTER TABLE "herd_event" ADD CONSTRAINT "herd_event_operation_id_place_id_fkey" FOREIGN KEY ("operation_id", "place_id") REFERENCES "place"("operation_id", "id") ON DELETE RESTRICT ON UPDATE RESTRICT;
ALTER TABLE "herd_event" ADD CONSTRAINT "herd_event_recorded_by_fkey" FOREIGN KEY ("recorded_by") REFERENCES "person"("id") ON DELETE RESTRICT ON UPDATE RESTRICT;

ALTER TABLE herd_event
  ADD CONSTRAINT herd_event_days CHECK (
    (median_on IS NULL OR (kind = 'calved' AND median_on >= happened_on))
    AND (last_on IS NULL OR (kind IN ('bred', 'calved') AND last_on >= coalesce(median_on, happened_on)))
    AND (kind <> 'bred' OR last_on IS NOT NULL)),
  ADD CONSTRAINT herd_event_service CHECK (service IS NULL OR kind = 'bred'),
  ADD CONSTRAINT herd_event_check CHECK (
    (kind = 'pregnancy-check') = (head_checked IS NOT NULL) AND (head_checked IS NULL) = (head_open IS NULL)
    AND (head_checked IS NULL OR (head_checked > 0 AND head_open BETWEEN 0 AND head_checked))),
  ADD CONSTRAINT herd_event_condition CHECK (
    body_condition IS NULL OR (kind = 'condition' AND body_condition BETWEEN 1 AND 9)),
  ADD CONSTRAINT herd_event_class CHECK ((kind = 'class') = (cattle_class IS NOT NULL)),
  ADD CONSTRAINT herd_event_place CHECK (place_id IS NULL OR kind = 'place'),
  ADD CONSTRAINT herd_event_mass CHECK (
    (mass_kg IS NULL) = (mass_value IS NULL) AND (mass_kg IS NULL) = (mass_unit IS NULL)
    AND (mass_kg IS NULL OR kind IN ('weight', 'target-gain'))
    AND (kind <> 'weight' OR (mass_kg IS NOT NULL AND mass_kg > 0))
    AND (mass_kg IS NULL OR mass_kg >= 0));

-- The columns become the first events of each herd, on the day on which it was entered, by whoever entered it. The
-- tables' owner is kept from their rows too; the guards, which follow, keep it from them again.
ALTER TABLE herd NO FORCE ROW LEVEL SECURITY;
ALTER TABLE ranch NO FORCE ROW LEVEL SECURITY;
ALTER TABLE audit_entry NO FORCE ROW LEVEL SECURITY;
ALTER TABLE membership NO FORCE ROW LEVEL SECURITY;
INSERT INTO herd_event (operation_id, id, herd_id, kind, happened_on, median_on, last_on, body_condition, cattle_class,
  place_id, mass_kg, mass_value, mass_unit, recorded_at, recorded_by)
SELECT h.operation_id, gen_random_uuid(), h.id, told.kind, told.happened_on, told.median_on, told.last_on,
  told.body_condition, told.cattle_class, told.place_id, told.mass_kg, told.mass_value, told.mass_unit, h.created_at,
  entered.person_id
FROM herd h
JOIN ranch r ON r.operation_id = h.operation_id AND r.id = h.ranch_id
CROSS JOIN LATERAL (SELECT (h.created_at AT TIME ZONE r.time_zone)::date AS entered_on) day
CROSS JOIN LATERAL (
  SELECT coalesce(
    (SELECT a.person_id FROM audit_entry a
      WHERE a.operation_id = h.operation_id AND a.action = 'herd.create' AND a.subject_id = h.id AND a.person_id IS NOT NULL
      ORDER BY a.sequence LIMIT 1),
    (SELECT m.person_id FROM membership m WHERE m.operation_id = h.operation_id AND m.role = 'owner'
      ORDER BY m.id LIMIT 1)) AS person_id
) entered
CROSS JOIN LATERAL (VALUES
  ('class', day.entered_on, NULL::date, NULL::date, NULL::numeric, h.cattle_class, NULL::uuid, NULL::numeric, NULL, NULL),
  ('bred', h.bred_on, NULL, h.bred_on, NULL, NULL, NULL, NULL, NULL, NULL),
  ('calved', h.calved_on, h.calved_on, h.calved_on, NULL, NULL, NULL, NULL, NULL, NULL),
  ('condition', CASE WHEN h.body_condition IS NOT NULL THEN day.entered_on END, NULL, NULL, h.body_condition, NULL, NULL, NULL,
    NULL, NULL),
  ('target-gain', CASE WHEN h.target_gain_kg IS NOT NULL THEN day.entered_on END, NULL, NULL, NULL, NULL, NULL,
    h.target_gain_kg, h.target_gain_value, h.target_gain_unit),
  ('place', CASE WHEN h.place_id IS NOT NULL THEN day.entered_on END, NULL, NULL, NULL, NULL, h.place_id, NULL, NULL, NULL)
) AS told (kind, happened_on, median_on, last_on, body_condition, cattle_class, place_id, mass_kg, mass_value, mass_unit)
WHERE told.happened_on IS NOT NULL;

ALTER TABLE herd
  DROP COLUMN place_id,
  DROP COLUMN cattle_class,
  DROP COLUMN body_condition,
  DROP COLUMN bred_on,
  DROP COLUMN calved_on,
  DROP COLUMN target_gain_kg,
  DROP COLUMN target_gain_value,
  DROP COLUMN target_gain_unit;
