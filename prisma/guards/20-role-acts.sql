-- Made from src/platform/roles/roles.data.ts by test/catalogue/roles.test.ts; UPDATE_SNAPSHOTS=1 writes it.

-- Every act there is.
CREATE OR REPLACE FUNCTION rickyard.acts() RETURNS text[] LANGUAGE sql IMMUTABLE
AS $$ SELECT ARRAY['read', 'prices', 'records', 'daily', 'desk', 'office', 'own'] $$;

-- What each role may do. Immutable and one list of values, so that the planner puts the rows in place of the call.
CREATE OR REPLACE FUNCTION rickyard.role_acts() RETURNS TABLE (role text, act text) LANGUAGE sql IMMUTABLE
AS $$ VALUES
  ('owner', 'read'), ('owner', 'prices'), ('owner', 'records'), ('owner', 'daily'), ('owner', 'desk'),
  ('owner', 'office'), ('owner', 'own'),
  ('manager', 'read'), ('manager', 'prices'), ('manager', 'records'), ('manager', 'daily'),
  ('hand', 'read'), ('hand', 'daily'),
  ('nutritionist', 'read'), ('nutritionist', 'prices'), ('nutritionist', 'desk'),
  ('accountant', 'read'), ('accountant', 'prices'), ('accountant', 'office')
$$;

-- The roles that never come with a sight of prices.
ALTER TABLE membership DROP CONSTRAINT IF EXISTS membership_hand_sees_no_prices;
ALTER TABLE membership ADD CONSTRAINT membership_hand_sees_no_prices
  CHECK (role <> 'hand' OR NOT sees_prices);
ALTER TABLE invitation DROP CONSTRAINT IF EXISTS invitation_hand_sees_no_prices;
ALTER TABLE invitation ADD CONSTRAINT invitation_hand_sees_no_prices
  CHECK (role <> 'hand' OR NOT sees_prices);
