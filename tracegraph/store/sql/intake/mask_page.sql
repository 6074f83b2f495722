UPDATE page SET {{column}} = masks.masked FROM masks WHERE masks.text = page.{{column}};
