SELECT count(*) FROM page JOIN masks ON masks.text = page.{{column}};
