package httpd

import (
	"context"
	"net/http"
	"runtime"
	"strconv"
	"time"

	"github.com/prometheus/client_golang/prometheus"
	"github.com/prometheus/client_golang/prometheus/collectors"
	"github.com/prometheus/client_golang/prometheus/promhttp"
)

// Standing is how the yard stands when somebody reads the figures.
type Standing struct {
	Entries    int64     // in the ledger
	SignIns    int64     // sessions of browsers that have not ended
	LastBackup time.Time // when the last good one was made; zero = unknown or none
}

// Figures are what a running server counts, for Prometheus. They hold no name,
// no address and no id of a record.
type Figures struct {
	registry *prometheus.Registry
	requests *prometheus.CounterVec
	took     *prometheus.HistogramVec
	waited   prometheus.Histogram
}

// NewFigures counts for the program of a version.
func NewFigures(version string) *Figures {
	f := &Figures{
		registry: prometheus.NewRegistry(),
		requests: prometheus.NewCounterVec(prometheus.CounterOpts{Name: "rungbook_http_requests_total",
			Help: "Requests by method, route and status; status 0: the reader left."}, []string{"method", "route", "status"}),
		took: prometheus.NewHistogramVec(prometheus.HistogramOpts{Name: "rungbook_http_request_seconds",
			Help: "How long requests took, by method and route.", Buckets: []float64{.005, .02, .05, .1, .25, .5, 1, 2.5, 10}}, []string{"method", "route"}),
		waited: prometheus.NewHistogram(prometheus.HistogramOpts{Name: "rungbook_writer_wait_seconds",
			Help: "How long writes waited for the one writer of the ledger.", Buckets: []float64{.0001, .001, .01, .05, .1, .5, 1, 5}}),
	}
	build := prometheus.NewGauge(prometheus.GaugeOpts{Name: "rungbook_build_info", Help: "Always 1; the labels say what runs.",
		ConstLabels: prometheus.Labels{"version": version, "go": runtime.Version()}})
	build.Set(1)
	f.registry.MustRegister(f.requests, f.took, f.waited, build,
		collectors.NewGoCollector(), collectors.NewProcessCollector(collectors.ProcessCollectorOpts{}))
	return f
}

// Tell adds how the yard stands, which is asked at each reading. Once.
func (f *Figures) Tell(standing func(context.Context) (Standing, error)) {
	f.registry.MustRegister(&stands{standing})
}

// asked counts a request. No Figures count nothing.
func (f *Figures) asked(method, route string, status int, took time.Duration) {
	if f == nil {
		return
	}
	f.requests.WithLabelValues(method, route, strconv.Itoa(status)).Inc()
	f.took.WithLabelValues(method, route).Observe(took.Seconds())
}

// Waited counts how long a write waited for the writer.
func (f *Figures) Waited(d time.Duration) {
	if f != nil {
		f.waited.Observe(d.Seconds())
	}
}

// Handler answers /metrics and /healthz, for an address of their own: who may
// read the yard's pages need not see how its server is.
func (f *Figures) Handler(readable func(context.Context) error) http.Handler {
	mux := http.NewServeMux()
	mux.Handle("GET /metrics", promhttp.HandlerFor(f.registry, promhttp.HandlerOpts{MaxRequestsInFlight: 2, Timeout: standingWithin}))
	mux.HandleFunc("GET /healthz", healthy(readable))
	return mux
}

// standingWithin is how long a reading may take.
const standingWithin = 10 * time.Second

// stands reads the yard at each reading of the figures.
type stands struct {
	standing func(context.Context) (Standing, error)
}

var (
	readableFigure = prometheus.NewDesc("rungbook_record_readable", "1 when the record could be read for these figures, else 0.", nil, nil)
	entriesFigure  = prometheus.NewDesc("rungbook_ledger_entries", "Entries in the ledger.", nil, nil)
	signInsFigure  = prometheus.NewDesc("rungbook_sign_ins", "Sign-ins of browsers that have not ended.", nil, nil)
	backupFigure   = prometheus.NewDesc("rungbook_last_backup_timestamp_seconds", "When the last good backup was made; absent when none is known.", nil, nil)
)

// Describe satisfies prometheus.Collector.
func (*stands) Describe(to chan<- *prometheus.Desc) {
	for _, d := range []*prometheus.Desc{readableFigure, entriesFigure, signInsFigure, backupFigure} {
		to <- d
	}
}

// Collect satisfies prometheus.Collector.
func (s *stands) Collect(to chan<- prometheus.Metric) {
	ctx, cancel := context.WithTimeout(context.Background(), standingWithin/2)
	defer cancel()
	tell := func(d *prometheus.Desc, v float64) { to <- prometheus.MustNewConstMetric(d, prometheus.GaugeValue, v) }
	now, err := s.standing(ctx)
	if err != nil {
		tell(readableFigure, 0)
		return
	}
	tell(readableFigure, 1)
	tell(entriesFigure, float64(now.Entries))
	tell(signInsFigure, float64(now.SignIns))
	if !now.LastBackup.IsZero() {
		tell(backupFigure, float64(now.LastBackup.Unix()))
	}
}
