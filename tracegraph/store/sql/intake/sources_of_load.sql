SELECT count(*) FROM sources WHERE load_no = $load_no;
