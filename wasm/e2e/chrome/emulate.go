package chrome

import (
	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/heapprofiler"
	"github.com/chromedp/cdproto/network"
	"github.com/chromedp/cdproto/performance"
	"github.com/chromedp/chromedp"
)

// call sends one protocol command to the tab within the patience.
func call[P, R any](p *Page, cmd cdp.Command[P, R], params P) (R, error) {
	ctx, stop := p.within(p.b.opt.Patience)
	defer stop()
	return cdp.Call(ctx, chromedp.FromContext(p.ctx).Target, cmd, params)
}

// prepare sets a new tab up as the options say.
func (p *Page) prepare() error {
	if err := p.listen(); err != nil {
		return err
	}
	if err := p.resize(p.b.opt.Width, p.b.opt.Height); err != nil {
		return err
	}
	if p.b.opt.CPUSlow > 1 {
		if _, err := call(p, emulation.SetCPUThrottlingRate, emulation.SetCPUThrottlingRateParams{Rate: p.b.opt.CPUSlow}); err != nil {
			return err
		}
	}
	return p.media("", nil)
}

func (p *Page) resize(width, height int) error {
	o := p.b.opt
	_, err := call(p, emulation.SetDeviceMetricsOverride, emulation.SetDeviceMetricsOverrideParams{
		Width: int64(width), Height: int64(height), DeviceScaleFactor: o.Scale, Mobile: o.Mobile,
	})
	if err != nil || !o.Mobile {
		return err
	}
	_, err = call(p, emulation.SetTouchEmulationEnabled, emulation.SetTouchEmulationEnabledParams{Enabled: true, MaxTouchPoints: 2})
	return err
}

// Resize gives the page another size, as turning a phone does.
func (p *Page) Resize(width, height int) {
	p.t.Helper()
	if err := p.resize(width, height); err != nil {
		p.fail("chrome: resize: %v", err)
	}
}

func (p *Page) media(kind string, features map[string]string) error {
	params := emulation.SetEmulatedMediaParams{Media: kind}
	scheme, motion := "light", "no-preference"
	if p.b.opt.Dark {
		scheme = "dark"
	}
	if p.b.opt.ReducedMotion {
		motion = "reduce"
	}
	all := map[string]string{"prefers-color-scheme": scheme, "prefers-reduced-motion": motion}
	for k, v := range features {
		all[k] = v
	}
	for k, v := range all {
		params.Features = append(params.Features, &emulation.MediaFeature{Name: k, Value: v})
	}
	_, err := call(p, emulation.SetEmulatedMedia, params)
	return err
}

// Media emulates a medium ("print", "" for the screen) and media features such
// as prefers-contrast on top of the options.
func (p *Page) Media(kind string, features map[string]string) {
	p.t.Helper()
	if err := p.media(kind, features); err != nil {
		p.fail("chrome: media: %v", err)
	}
}

// SlowCPU makes the page's CPU n times slower; 1 is full speed.
func (p *Page) SlowCPU(n float64) {
	p.t.Helper()
	if _, err := call(p, emulation.SetCPUThrottlingRate, emulation.SetCPUThrottlingRateParams{Rate: n}); err != nil {
		p.fail("chrome: slow CPU: %v", err)
	}
}

// SetOffline cuts the page and its service worker off, and sets
// navigator.onLine. The honest test still is to stop the server.
func (p *Page) SetOffline(off bool) {
	p.t.Helper()
	yes := true
	rule := network.EmulateNetworkConditionsByRuleParams{MatchedNetworkConditions: []*network.Conditions{}}
	if off {
		rule.EmulateOfflineServiceWorker = &yes
		rule.MatchedNetworkConditions = append(rule.MatchedNetworkConditions, &network.Conditions{Offline: true, DownloadThroughput: -1, UploadThroughput: -1})
	}
	if _, err := call(p, network.EmulateNetworkConditionsByRule, rule); err != nil {
		p.fail("chrome: offline %v: %v", off, err)
	}
	state := network.OverrideNetworkStateParams{Offline: off, DownloadThroughput: -1, UploadThroughput: -1}
	if _, err := call(p, network.OverrideNetworkState, state); err != nil {
		p.fail("chrome: offline %v: %v", off, err)
	}
}

// Metrics collects garbage and returns the browser's own counters, among them
// JSHeapUsedSize (bytes), Nodes, JSEventListeners, and the page's processor
// time (seconds, so that a busy machine counts less): ScriptDuration,
// LayoutDuration, RecalcStyleDuration, TaskDuration.
func (p *Page) Metrics() map[string]float64 {
	p.t.Helper()
	if _, err := call(p, performance.Enable, performance.EnableParams{TimeDomain: performance.EnableTimeDomainThreadTicks}); err != nil {
		p.fail("chrome: metrics: %v", err)
	}
	for range 2 { // the second round frees what only finalizers held
		if _, err := call(p, heapprofiler.CollectGarbage, cdp.Empty{}); err != nil {
			p.fail("chrome: collecting garbage: %v", err)
		}
	}
	res, err := call(p, performance.GetMetrics, cdp.Empty{})
	if err != nil {
		p.fail("chrome: metrics: %v", err)
	}
	out := make(map[string]float64, len(res.Metrics))
	for _, m := range res.Metrics {
		out[m.Name] = m.Value
	}
	return out
}
