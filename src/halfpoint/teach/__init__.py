"""Teaching: practice at home, the tasting guide, letters to those who took part."""
