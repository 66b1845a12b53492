-- What the server may call. The functions that erase lie in a schema of their own and grant for themselves.
GRANT EXECUTE ON ALL FUNCTIONS IN SCHEMA rickyard TO rickyard_app;
