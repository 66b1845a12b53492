-- An engagement that ends by its own date is settled (its consultant's copy taken, its state written down) before anything of the operation
-- changes again: the first write after the end settles it, or the consultant's first look. Nothing has to run in between.

-- Which engagements of an operation wait for that shows to whoever settles them, and nothing else of the operation with it.
CREATE POLICY engagement_lapsed ON engagement FOR SELECT USING (
  operation_id = (SELECT rickyard.setting('settling')::uuid) AND state = 'accepted' AND until_at <= (SELECT rickyard.setting('moment')::timestamptz)
);

CREATE FUNCTION rickyard.has_lapsed(the_operation uuid) RETURNS boolean LANGUAGE plpgsql AS $$
DECLARE
  found_one boolean;
BEGIN
  PERFORM set_config('rickyard.settling', the_operation::text, true);
  SELECT EXISTS (SELECT 1 FROM engagement e WHERE e.operation_id = the_operation AND e.state = 'accepted' AND e.until_at <= rickyard.setting('moment')::timestamptz) INTO found_one;
  PERFORM set_config('rickyard.settling', '', true);
  RETURN found_one;
END $$;
GRANT EXECUTE ON FUNCTION rickyard.has_lapsed(uuid) TO rickyard_app;

CREATE INDEX engagement_waiting ON engagement (operation_id, until_at) WHERE state = 'accepted' AND until_at IS NOT NULL;

-- What ended before there was this road has seen changes since; a copy now would show them. It ends without one.
ALTER TABLE engagement NO FORCE ROW LEVEL SECURITY;
UPDATE engagement SET state = 'ended', ended_at = until_at WHERE state = 'accepted' AND until_at <= now();
ALTER TABLE engagement FORCE ROW LEVEL SECURITY;
