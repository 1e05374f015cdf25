"""Lists of products as warehouse systems write them: CSV and XLSX to arrays, every row accounted for."""
