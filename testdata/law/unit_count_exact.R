# Writes unit_count_exact.csv: for each number of similar units from 1 to 5000, the fewest that a random sample must hold so that the
# chance of missing every one of the units that exceed is below 1 in 20, by R's hypergeometric distribution (floating point).
#   Rscript unit_count_exact.R > unit_count_exact.csv
fewest <- function(n, share, most) {
  exceed <- min(ceiling(n / share), most)  # one in `share`, at most `most`
  taken <- 0:n
  taken[match(TRUE, phyper(0, exceed, n - exceed, taken) < 0.05)]
}
cat("# Fewest units of a random sample that misses every exceeding one with a chance below 1 in 20, without a running maximum.\n")
cat("# columns: similar units; 1 in 20 exceed, at most 50; 1 in 10 exceed, at most 100\n")
cat("# made by: Rscript testdata/law/unit_count_exact.R, ", R.version.string, "\n", sep = "")
cat("similar,one_in_20,one_in_10\n")
for (n in 1:5000) cat(n, ",", fewest(n, 20, 50), ",", fewest(n, 10, 100), "\n", sep = "")
