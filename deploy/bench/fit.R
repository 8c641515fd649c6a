# Fits a Weibull distribution to the speeds in a file (float64, little-endian) with fitdistr of MASS, and prints seconds, shape and scale.
path <- commandArgs(trailingOnly = TRUE)[1]
speeds <- readBin(path, "double", n = file.size(path) / 8, endian = "little")
took <- system.time(fit <- suppressWarnings(MASS::fitdistr(speeds, "weibull")))
cat(took[["elapsed"]], fit$estimate[["shape"]], fit$estimate[["scale"]], "\n")
