-- A stored first answer is shown again only to somebody who may still see all of it. What was stored before may hold
-- prices.
ALTER TABLE idempotency_record ADD COLUMN acts TEXT[] NOT NULL DEFAULT '{prices}';
ALTER TABLE idempotency_record ALTER COLUMN acts DROP DEFAULT;
