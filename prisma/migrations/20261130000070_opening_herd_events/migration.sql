-- What a herd was entered with, apart from what was recorded of it since: its opening weight has a day of its own
-- (herd.taken_on), its opening condition score, class, place and target gain are events.
ALTER TABLE herd_event ADD COLUMN opening BOOLEAN NOT NULL DEFAULT false;

-- Until now they were known by their moment alone, which is that of the herd itself.
ALTER TABLE herd NO FORCE ROW LEVEL SECURITY;
ALTER TABLE herd_event NO FORCE ROW LEVEL SECURITY;
ALTER TABLE herd_event DISABLE TRIGGER USER;
UPDATE herd_event e SET opening = true
  FROM herd h
 WHERE h.operation_id = e.operation_id AND h.id = e.herd_id AND h.created_at = e.recorded_at;
ALTER TABLE herd_event ENABLE TRIGGER USER;
