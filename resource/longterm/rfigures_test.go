package longterm_test

import "mastworth/resource/longterm"

// rFigures are what R 4 prints for the records of madeUp:
//
//	far <- function(i) 7 + 2*sin(i/23) + 1.5*sin(i/131+1) + sin(i/911)
//	i <- (456*48):(578*48-1)
//	y30 <- 1 + 0.6*far(i) + 0.8*sin(i/37) + 0.5*sin(i/1100)
//	h <- i %/% 2
//	y <- tapply(y30, h, mean); hh <- as.numeric(names(y)); y <- as.numeric(y); x <- far(2*hh)
//	mo <- format(as.POSIXct(hh*3600, origin="2020-01-01", tz="UTC"), "%Y-%m")
//	fit <- function(m, x, y) switch(m,
//	  least_squares = unname(coef(lm(y ~ x))),
//	  variance_ratio = {b <- sd(y)/sd(x); c(mean(y)-b*mean(x), b)},
//	  speed_ratio = c(0, mean(y)/mean(x)))
//	for (m in c("variance_ratio","least_squares","speed_ratio")) {
//	  co <- fit(m, x, y); e <- c(); k <- c()
//	  for (u in unique(mo)) { o <- mo == u; l <- fit(m, x[!o], y[!o]); p <- pmax(0, l[1]+l[2]*x[o])
//	    e <- c(e, mean(p)/mean(y[o])-1); k <- c(k, mean(p^3)/mean(y[o]^3)-1) }
//	  cat(m, length(y), length(e), sprintf("%.12g", c(co[2], co[1], cor(x,y), sqrt(mean(e^2)), sqrt(mean(k^2)))), "\n")
//	}
var rFigures = []struct {
	method              longterm.Method
	n, months           int
	slope, intercept, r float64
	meanRMS, cubeRMS    float64
}{
	{longterm.VarianceRatio, 2928, 4, 0.687426455168, 0.351953473889, 0.861374511845, 0.08831621292, 0.237305603026},
	{longterm.LeastSquares, 2928, 4, 0.59213162725, 1.01360738139, 0.861374511845, 0.0911315510146, 0.2319175097},
	{longterm.SpeedRatio, 2928, 4, 0.738116620147, 0, 0.861374511845, 0.0882414125671, 0.25534153768},
}
