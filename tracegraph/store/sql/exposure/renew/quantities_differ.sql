SELECT EXISTS (SELECT 1 FROM quantities WHERE usual <> usual_before);
