package main

import (
	"bytes"
	"crypto/ecdsa"
	"crypto/elliptic"
	"crypto/rand"
	"crypto/tls"
	"crypto/x509"
	"crypto/x509/pkix"
	"encoding/pem"
	"errors"
	"io"
	"log/slog"
	"math/big"
	"net"
	"net/http"
	"net/netip"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"syscall"
	"testing"
	"time"

	"rungbook/internal/fault"
)

// papers writes a certificate for 127.0.0.1 and its key, and returns it.
func papers(t *testing.T, serial int64, certificate, key string) *x509.Certificate {
	t.Helper()
	private, err := ecdsa.GenerateKey(elliptic.P256(), rand.Reader)
	if err != nil {
		t.Fatal(err)
	}
	plan := &x509.Certificate{SerialNumber: big.NewInt(serial), Subject: pkix.Name{CommonName: "yard.example"}, NotBefore: time.Now().Add(-time.Hour), NotAfter: time.Now().Add(time.Hour),
		IPAddresses: []net.IP{net.IPv4(127, 0, 0, 1)}, KeyUsage: x509.KeyUsageDigitalSignature | x509.KeyUsageCertSign, IsCA: true, BasicConstraintsValid: true}
	raw, err := x509.CreateCertificate(rand.Reader, plan, plan, private.Public(), private)
	if err != nil {
		t.Fatal(err)
	}
	rawKey, err := x509.MarshalPKCS8PrivateKey(private)
	if err != nil {
		t.Fatal(err)
	}
	replace(t, certificate, pem.EncodeToMemory(&pem.Block{Type: "CERTIFICATE", Bytes: raw}))
	replace(t, key, pem.EncodeToMemory(&pem.Block{Type: "PRIVATE KEY", Bytes: rawKey}))
	made, err := x509.ParseCertificate(raw)
	if err != nil {
		t.Fatal(err)
	}
	return made
}

// replace writes a file as those who renew certificates do: beside, then over it.
func replace(t *testing.T, file string, data []byte) {
	t.Helper()
	if err := os.WriteFile(file+".new", data, 0o600); err != nil {
		t.Fatal(err)
	}
	if err := os.Rename(file+".new", file); err != nil {
		t.Fatal(err)
	}
}

// trusting is a client that trusts certificates; it keeps its connection.
func trusting(most uint16, all ...*x509.Certificate) *http.Client {
	roots := x509.NewCertPool()
	for _, c := range all {
		roots.AddCert(c)
	}
	return &http.Client{Timeout: patience, Transport: &http.Transport{ForceAttemptHTTP2: true, TLSClientConfig: &tls.Config{RootCAs: roots, MinVersion: tls.VersionTLS10, MaxVersion: most}}}
}

// fetch reads an address and returns the answer and what it says.
func fetch(t *testing.T, by *http.Client, address string) (*http.Response, string) {
	t.Helper()
	answer, err := by.Get(address)
	if err != nil {
		t.Fatal(err)
	}
	body, err := io.ReadAll(answer.Body)
	if err := errors.Join(err, answer.Body.Close()); err != nil {
		t.Fatal(err)
	}
	return answer, string(body)
}

// serving runs the program until the test ends.
func serving(t *testing.T, args ...string) (*process, string) {
	t.Helper()
	program, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	r := &process{cmd: &exec.Cmd{Path: program, Args: append([]string{"rungbook", "serve"}, args...)}}
	base, err := r.run()
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := r.end(syscall.SIGTERM); err != nil || r.ended != nil {
			t.Errorf("it ended with %v, %v", err, r.ended)
		}
	})
	return r, base
}

func TestTheServerSpeaksTLSByACertificateThatMayChangeWhileItRuns(t *testing.T) {
	dir := t.TempDir()
	certificate, key := filepath.Join(dir, "yard.pem"), filepath.Join(dir, "yard.key")
	first := papers(t, 1, certificate, key)
	r, base := serving(t, "--data", filepath.Join(dir, "yard"), "--listen", "127.0.0.1:0", "--tls-certificate", certificate, "--tls-key", key)
	if !strings.HasPrefix(base, "https://127.0.0.1:") {
		t.Fatalf("it listens on %s", base)
	}
	open := trusting(tls.VersionTLS13, first)
	answer, _ := fetch(t, open, base+"/first-administrator")
	if answer.StatusCode != http.StatusOK || answer.Proto != "HTTP/2.0" || !strings.Contains(answer.Header.Get("Strict-Transport-Security"), "max-age=") {
		t.Errorf("%s over %s, Strict-Transport-Security %q", answer.Status, answer.Proto, answer.Header.Get("Strict-Transport-Security"))
	}
	if _, err := trusting(tls.VersionTLS11, first).Get(base); err == nil {
		t.Error("TLS 1.1 was spoken")
	}
	fetch(t, trusting(tls.VersionTLS12, first), base+"/alive")

	second := papers(t, 2, certificate, key)
	now, _ := fetch(t, trusting(tls.VersionTLS13, second), base+"/alive")
	if got := now.TLS.PeerCertificates[0].SerialNumber.Int64(); got != 2 {
		t.Errorf("after the files changed certificate %d is shown", got)
	}
	again, _ := fetch(t, open, base+"/alive") // over the connection it has: the first certificate is no longer shown
	if got := again.TLS.PeerCertificates[0].SerialNumber.Int64(); got != 1 {
		t.Errorf("an open connection was dropped: it now has certificate %d", got)
	}

	replace(t, key, []byte("half written"))
	for range 2 {
		fetch(t, trusting(tls.VersionTLS13, second), base+"/alive")
	}
	if said := r.err.String(); strings.Count(said, "can't be used; the one before goes on") != 1 || strings.Count(said, "was read again") != 1 {
		t.Errorf("the log says %s", said)
	}
	papers(t, 3, certificate, key)
	if _, err := trusting(tls.VersionTLS13, second).Get(base + "/alive"); err == nil {
		t.Error("the third certificate is not shown")
	}
	if said := r.err.String(); strings.Contains(said, "127.0.0.1") {
		t.Errorf("the log holds a client's address: %s", said)
	}
}

func TestFiguresAndHealthAnswerOnAnAddressOfTheirOwn(t *testing.T) {
	r, base := serving(t, "--data", filepath.Join(t.TempDir(), "yard"), "--listen", "127.0.0.1:0", "--metrics-listen", "127.0.0.1:0", "--log-format", "json", "--log-requests")
	at := regexp.MustCompile(`Figures are on (http://\S+)metrics\n`).FindStringSubmatch(r.out.String())
	if at == nil {
		t.Fatalf("it printed %s", &r.out)
	}
	if answer, body := fetch(t, http.DefaultClient, base+"/healthz"); answer.StatusCode != http.StatusOK || body != "ok\n" {
		t.Errorf("health: %s %q", answer.Status, body)
	}
	if answer, body := fetch(t, http.DefaultClient, at[1]+"healthz"); answer.StatusCode != http.StatusOK || body != "ok\n" {
		t.Errorf("health beside the figures: %s %q", answer.Status, body)
	}
	_, figures := fetch(t, http.DefaultClient, at[1]+"metrics")
	for _, want := range []string{"rungbook_ledger_entries 0\n", "rungbook_sign_ins 0\n", "rungbook_record_readable 1\n", `route="/healthz",status="200"} 1`, "rungbook_writer_wait_seconds_count ", "rungbook_build_info{"} {
		if !strings.Contains(figures, want) {
			t.Errorf("the figures lack %q:\n%s", want, figures)
		}
	}
	if answer, _ := fetch(t, http.DefaultClient, at[1]+"sign-in"); answer.StatusCode != http.StatusNotFound {
		t.Errorf("the yard's pages answer beside the figures: %s", answer.Status)
	}
	if said := r.err.String(); !strings.Contains(said, `"msg":"request"`) || !strings.Contains(said, `"route":"/healthz","status":200`) {
		t.Errorf("the log says %s", said)
	}
}

func TestACertificateWithoutItsKeyIsRefused(t *testing.T) {
	dir := t.TempDir()
	certificate, key := filepath.Join(dir, "a.pem"), filepath.Join(dir, "a.key")
	papers(t, 1, certificate, key)
	papers(t, 2, filepath.Join(dir, "b.pem"), filepath.Join(dir, "b.key"))
	for name, c := range map[string]struct {
		f    frontFlags
		kind fault.Kind
		says string
	}{
		"no key":           {frontFlags{TLSCertificate: certificate}, fault.Invalid, "belong together"},
		"no certificate":   {frontFlags{TLSKey: key}, fault.Invalid, "belong together"},
		"another's key":    {frontFlags{TLSCertificate: certificate, TLSKey: filepath.Join(dir, "b.key")}, fault.Unusable, "private key does not match"},
		"a file not there": {frontFlags{TLSCertificate: certificate, TLSKey: filepath.Join(dir, "c.key")}, fault.Unusable, "no such file"},
	} {
		_, err := pairOf(c.f, slog.New(slog.DiscardHandler))
		if fault.Of(err) != c.kind || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%s: %v, want %q", name, err, c.says)
		}
	}
	if p, err := pairOf(frontFlags{}, nil); p != nil || err != nil {
		t.Errorf("neither: %v, %v", p, err)
	}
}

func TestANetworkIsAnAddressOrACIDRAndNeverEverybody(t *testing.T) {
	for said, want := range map[string]string{"127.0.0.1": "127.0.0.1/32", "10.1.2.3/24": "10.1.2.0/24", "::1": "::1/128", "2001:db8::/48": "2001:db8::/48",
		"0.0.0.0/0": "", "::/0": "", "proxy.example": "", "10.0.0.0/33": "", "": "", "fe80::1%eth0": ""} {
		var n network
		err := n.UnmarshalText([]byte(said))
		if got := netip.Prefix(n); (err == nil) != (want != "") || err == nil && got.String() != want {
			t.Errorf("%q is %v (%v), want %q", said, got, err, want)
		}
	}
}

func TestWhatTheLibrarySaysOfAConnectionIsLoggedWithoutItsAddress(t *testing.T) {
	for line, want := range map[string]string{
		"http: TLS handshake error from 192.0.2.7:4711: EOF\n":           "http: TLS handshake error from a client: EOF",
		"http: TLS handshake error from [2001:db8::1]:4711: EOF\n":       "http: TLS handshake error from a client: EOF",
		"http: TLS handshake error from [fe80::1%eth0]:4711: no ciphers": "http: TLS handshake error from a client: no ciphers",
	} {
		var told bytes.Buffer
		n, err := quietly{slog.New(slog.NewTextHandler(&told, nil))}.Write([]byte(line))
		if n != len(line) || err != nil || !strings.Contains(told.String(), `msg="`+want+`"`) {
			t.Errorf("%q is logged as %s", line, &told)
		}
	}
}
