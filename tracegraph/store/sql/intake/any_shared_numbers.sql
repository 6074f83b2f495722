SELECT count(*) FROM cleaned_values WHERE rule = 'one number of two suppliers';
