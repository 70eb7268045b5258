from look import *
for w in (1280,360):
    d=drv(w,900)
    d.get(B+'/drafts')
    if w==1280:
        d.find_element(By.CSS_SELECTOR,"button[aria-label='Change the bill TARVET by a new draft']").click()
    def go(n,p):
        d.execute_cdp_cmd('Emulation.setDeviceMetricsOverride',dict(width=w,height=900,deviceScaleFactor=1,mobile=w<600))
        d.get(B+p); pic(d,n,w)
    # refused rule
    d.get(B+'/substitutions/new?from=HS112C')
    for n,v in (('to','HS113A'),('reason','same'),('source','shop rule 12')): d.find_element(By.NAME,n).send_keys(v)
    d.find_element(By.CSS_SELECTOR,'form.entry button.main').click(); pic(d,'rule-refused',w)
    # refused chart
    d.get(B+'/air-charts/AIR-T12/edit'); e=d.find_element(By.NAME,'pressure.3'); e.clear(); e.send_keys('130 psi')
    e=d.find_element(By.NAME,'mass_from.5'); e.clear(); e.send_keys('91 kg')
    d.find_element(By.CSS_SELECTOR,'form.entry button.main').click(); pic(d,'air-refused',w)
    d.get(B+'/parts/SE102F/edit'); e=d.find_element(By.NAME,'value.2'); e.clear(); e.send_keys('wide')
    d.find_element(By.NAME,'value.5').send_keys('3')
    d.find_element(By.CSS_SELECTOR,'form.entry button.main').click(); pic(d,'facts-refused',w)
    go('missing','/glossary/missing'); go('glos','/glossary?q=gr'); go('preview','/drafts/TARVET/D/preview'); go('draft','/drafts/TARVET/D'); go('words','/drafts/TARVET/C/row?row=words%203%20de'); go('part','/parts/HS112C'); go('subs-edit','/substitutions/HS113A%20%3E%20HS111E/edit')
    d.quit()
