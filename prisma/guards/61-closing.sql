-- Nothing is dated into a closed period. Entries share the operation's lock, and closing takes it alone: an entry that
-- began before a closing is either in the closed reports or refused.
CREATE OR REPLACE FUNCTION rickyard.refuse_closed(operation uuid, the_day date) RETURNS void LANGUAGE plpgsql AS $$
DECLARE
  closing record;
BEGIN
  PERFORM pg_advisory_xact_lock_shared(hashtextextended(operation::text, 730));
  SELECT c.id, c.until_on INTO closing
    FROM book_closing c
   WHERE c.operation_id = operation
     AND NOT EXISTS (SELECT 1 FROM book_reopening r WHERE r.operation_id = c.operation_id AND r.book_closing_id = c.id)
   ORDER BY c.until_on DESC LIMIT 1;
  IF FOUND AND the_day <= closing.until_on THEN
    RAISE EXCEPTION 'the books are closed up to %', closing.until_on USING
      ERRCODE = 'RY005', DETAIL = json_build_object('on', the_day, 'closedUntil', closing.until_on, 'closingId',
        closing.id)::text;
  END IF;
END $$;

-- Once for all rows of a statement: the earliest of their days tells.
CREATE OR REPLACE FUNCTION rickyard.refuse_closed_day() RETURNS trigger LANGUAGE plpgsql AS $$
DECLARE
  dated record;
BEGIN
  FOR dated IN EXECUTE format('SELECT operation_id, min(%I) AS the_day FROM added GROUP BY operation_id', TG_ARGV[0])
  LOOP
    PERFORM rickyard.refuse_closed(dated.operation_id, dated.the_day);
  END LOOP;
  RETURN NULL;
END $$;

CREATE OR REPLACE FUNCTION rickyard.refuse_closed_reversal() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
  PERFORM rickyard.refuse_closed(NEW.operation_id, NEW.effective_on);
  RETURN NEW;
END $$;

DO $$
DECLARE
  dated record;
BEGIN
  FOR dated IN SELECT table_name, closed_day FROM guarded_table WHERE closed_day IS NOT NULL LOOP
    EXECUTE format('CREATE TRIGGER %I AFTER INSERT ON %I REFERENCING NEW TABLE AS added FOR EACH STATEMENT '
      'EXECUTE FUNCTION rickyard.refuse_closed_day(%L)',
      dated.table_name || '_closed_day', dated.table_name, dated.closed_day);
  END LOOP;
END $$;
-- Reversing a measurement (a weight, a lab test) is not an entry in the books; reversing one of these is.
CREATE TRIGGER reversal_closed_day BEFORE INSERT ON reversal FOR EACH ROW
  WHEN (NEW.subject_kind IN ('hay-purchase', 'harvest', 'hay-sale', 'hay-transfer', 'stock-count', 'storage-shrink',
    'late-cost', 'feeding', 'yardage-rate', 'herd-cost'))
  EXECUTE FUNCTION rickyard.refuse_closed_reversal();

-- Closings follow one another without gap or overlap; only the last can be reopened, once.
CREATE OR REPLACE FUNCTION rickyard.check_closing() RETURNS trigger LANGUAGE plpgsql AS $$
DECLARE
  last_closing record;
BEGIN
  PERFORM pg_advisory_xact_lock(hashtextextended(NEW.operation_id::text, 730));
  SELECT c.id, c.until_on INTO last_closing
    FROM book_closing c
   WHERE c.operation_id = NEW.operation_id
     AND NOT EXISTS (SELECT 1 FROM book_reopening r WHERE r.operation_id = c.operation_id AND r.book_closing_id = c.id)
   ORDER BY c.until_on DESC LIMIT 1;
  IF TG_TABLE_NAME = 'book_closing' THEN
    IF FOUND AND NEW.from_on <> last_closing.until_on + 1 THEN
      RAISE EXCEPTION 'a period begins on the day after the last closed one' USING ERRCODE = 'RY006';
    END IF;
  ELSIF NOT FOUND OR last_closing.id <> NEW.book_closing_id THEN
    RAISE EXCEPTION 'only the last closed period can be opened again' USING ERRCODE = 'RY006';
  END IF;
  RETURN NEW;
END $$;
CREATE TRIGGER book_closing_order BEFORE INSERT ON book_closing FOR EACH ROW EXECUTE FUNCTION rickyard.check_closing();
CREATE TRIGGER book_reopening_order BEFORE INSERT ON book_reopening FOR EACH ROW
  EXECUTE FUNCTION rickyard.check_closing();
