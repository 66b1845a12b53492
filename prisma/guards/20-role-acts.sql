CREATE OR REPLACE FUNCTION rickyard.acts() RETURNS text[] LANGUAGE sql IMMUTABLE
AS $$ SELECT ARRAY['read', 'prices', 'records', 'daily', 'desk', 'office', 'own'] $$;
CREATE OR REPLACE FUNCTION rickyard.role_acts() RETURNS TABLE (role text, act text) LANGUAGE sql IMMUTABLE
AS $$ VALUES
  ('owner', 'read'), ('owner', 'prices'), ('owner', 'records'), ('owner', 'daily'), ('owner', 'desk'),
    ('owner', 'office'), ('owner', 'own'),
          ('manager', 'read'), ('manager', 'prices'), ('manager', 'records'), ('manager', 'daily'),
          ('hand', 'read'), ('hand', 'daily'),
          ('nutritionist', 'read'), ('nutritionist', 'prices'), ('nutritionist', 'desk'),
          ('accountant', 'read'), ('accountant', 'prices'), ('accountant', 'office')
$$;
